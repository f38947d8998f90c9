"""Shares and rates with their 95 % intervals, and goals held against them; pure.

Shares carry Wilson's score interval (see assistant/hearing/shares.py); events per hour the exact
Poisson interval (Garwood 1936, Biometrika 28:437-442).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from assistant.hearing.shares import Share, wilson

__all__ = ["Goal", "Rate", "Share", "Side", "Verdict", "bound_of", "quantile", "verdict", "wilson"]


@dataclass(frozen=True, slots=True)
class Rate:
    """Events in so many hours, with the exact 95 % interval of the rate."""

    count: int
    hours: float

    @property
    def value(self) -> float:
        """Events an hour; without any time it is not a number."""
        return self.count / self.hours if self.hours else math.nan

    @property
    def interval(self) -> tuple[float, float]:
        """The interval of events an hour."""
        if not self.hours:
            return 0.0, math.inf
        low, high = poisson_interval(self.count)
        return low / self.hours, high / self.hours


def poisson_interval(count: int) -> tuple[float, float]:
    """The exact interval of the mean of which `count` events were seen."""
    low = 0.0 if count == 0 else _mean_where(lambda mean: 1 - _poisson_below(count, mean))
    return low, _mean_where(lambda mean: 1 - _poisson_below(count + 1, mean), above=True)


def _poisson_below(count: int, mean: float) -> float:
    """The chance of fewer than `count` events."""
    term, total = math.exp(-mean), 0.0
    for number in range(count):
        total += term
        term *= mean / (number + 1)
    return total


def _mean_where(chance: Callable[[float], float], *, above: bool = False) -> float:
    """The mean at which a rising chance reaches 2.5 %, or 97.5 % where `above`."""
    wanted = 0.975 if above else 0.025
    low, high = 0.0, 1.0
    while chance(high) < wanted:
        high *= 2
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if chance(middle) < wanted else (low, middle)
    return (low + high) / 2


class Side(StrEnum):
    """Which way a goal points."""

    AT_MOST = "≤"
    AT_LEAST = "≥"


class Verdict(StrEnum):
    """MET: the bound that matters is on the right side.  OPEN: only the share itself is."""

    MET = "met"
    OPEN = "open"
    MISSED = "missed"
    UNMEASURED = "unmeasured"


@dataclass(frozen=True, slots=True)
class Goal:
    """A share or rate that is to be reached."""

    side: Side
    value: float


def verdict(measured: Share | Rate, goal: Goal) -> Verdict:
    """Whether the goal is met, beyond the doubt of the 95 % interval."""
    if math.isnan(measured.value):
        return Verdict.UNMEASURED
    low, high = measured.interval
    if goal.side is Side.AT_MOST:
        bound, reached = high <= goal.value, measured.value <= goal.value
    else:
        bound, reached = low >= goal.value, measured.value >= goal.value
    if not reached:
        return Verdict.MISSED
    return Verdict.MET if bound else Verdict.OPEN


def bound_of(measured: Share | Rate, goal: Goal) -> float:
    """The end of the interval that stands beside the goal."""
    low, high = measured.interval
    return high if goal.side is Side.AT_MOST else low


def quantile(values: Sequence[float], part: float) -> float:
    """The nearest-rank quantile; of nothing it is not a number."""
    if not values:
        return math.nan
    return sorted(values)[max(0, math.ceil(part * len(values)) - 1)]
