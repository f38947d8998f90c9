"""Logistic regression by Newton's steps, and how well its probabilities keep their word. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_RIDGE = 0.1
"""Keeps the steps finite where a term divides right from wrong without an exception."""

_STEPS = 60
_STILL = 1e-9

EDGES = (0.0, 0.5, 0.8, 0.9, 0.95, 0.985, 0.995, 1.0)
"""Where the bins of a reliability table end."""


def fitted(rows: Floats, right: NDArray[np.bool_]) -> Floats:
    """The coefficients for rows of cases × terms, the first term a 1 (Hosmer and Lemeshow 2000)."""
    weights = np.zeros(rows.shape[1])
    shrink = np.full(rows.shape[1], _RIDGE)
    shrink[0] = 0.0
    for _ in range(_STEPS):
        sure = probabilities(rows, weights)
        slope = rows.T @ (right - sure) - shrink * weights
        bend = (rows * (sure * (1 - sure))[:, None]).T @ rows + np.diag(shrink + _STILL)
        step = np.linalg.solve(bend, slope)
        weights += step
        if float(np.abs(step).max()) < _STILL:
            break
    return weights


def probabilities(rows: Floats, weights: Floats) -> Floats:
    """The probability of each case."""
    found: Floats = 1 / (1 + np.exp(-np.clip(rows @ weights, -50, 50)))
    return found


@dataclass(frozen=True, slots=True)
class Bin:
    """The cases whose probability lies in a span: how many, what was promised, what came true."""

    least: float
    most: float
    count: int
    promised: float
    kept: float


def reliability(sure: Floats, right: NDArray[np.bool_]) -> list[Bin]:
    """The bins that are not empty."""
    found = []
    for least, most in pairwise(EDGES):
        own = (sure >= least) & ((sure < most) | (most == EDGES[-1]))
        if own.any():
            kept = float(right[own].mean())
            found.append(Bin(least, most, int(own.sum()), float(sure[own].mean()), kept))
    return found


def calibration_error(bins: Sequence[Bin]) -> float:
    """The expected calibration error over the bins (Naeini et al. 2015, AAAI)."""
    whole = sum(one.count for one in bins)
    return sum(one.count * abs(one.promised - one.kept) for one in bins) / whole if whole else 0.0


def log_loss(sure: Floats, right: Iterable[bool]) -> float:
    """The mean surprise in natural log units: lower is better."""
    kept = np.where(np.fromiter(right, bool), sure, 1 - sure)
    return float(-np.log(np.maximum(kept, 1e-12)).mean())
