"""Utterances of about one length side by side, padded, for the training."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.bench.phones_fit.shards import Example

_FRAMES, _PHONES = 32, 20
"""Lengths are padded to whole multiples of these: each new shape is compiled anew."""

_SHUFFLED_BY = 10.0
"""How far, in frames, an utterance may change places with others of another length."""

_SAMPLED = 20


@dataclass(frozen=True, slots=True)
class Batch:
    """Rows are utterances × frames × numbers; lengths are at least 1, also of what only pads."""

    rows: NDArray[np.float32]
    frames: NDArray[np.int32]
    phones: NDArray[np.int32]
    phone_counts: NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Scale:
    """The mean and the spread of each of the encoder's numbers."""

    mean: NDArray[np.float32]
    spread: NDArray[np.float32]


def scale_of(examples: Sequence[Example]) -> Scale:
    """The scale of the encoder's numbers, from every twentieth utterance."""
    rows = np.concatenate([one.states for one in examples[::_SAMPLED]]).astype(np.float32)
    return Scale(rows.mean(axis=0), rows.std(axis=0) + np.float32(1e-3))


def batches(
    examples: Sequence[Example], scale: Scale, size: int, chance: np.random.Generator
) -> Iterator[Batch]:
    """Every example once, in batches of about one length, the batches in a random order."""
    moved = [len(one.states) + chance.uniform(-_SHUFFLED_BY, _SHUFFLED_BY) for one in examples]
    order = [examples[int(at)] for at in np.argsort(moved)]
    starts = chance.permutation(range(0, len(order), size))
    for start in starts:
        yield _padded(order[start : start + size], scale, size)


def batch_count(examples: Sequence[Example], size: int) -> int:
    """How many batches these examples are."""
    return -(-len(examples) // size)


def _padded(examples: Sequence[Example], scale: Scale, size: int) -> Batch:
    longest = _up(max(len(one.states) for one in examples), _FRAMES)
    most = _up(max(len(one.phones) for one in examples), _PHONES)
    rows = np.zeros((size, longest, len(scale.mean)), np.float32)
    phones = np.zeros((size, most), np.int32)
    frames, counts = np.ones(size, np.int32), np.ones(size, np.int32)
    for at, one in enumerate(examples):
        frames[at], counts[at] = len(one.states), len(one.phones)
        rows[at, : frames[at]] = (one.states.astype(np.float32) - scale.mean) / scale.spread
        phones[at, : counts[at]] = one.phones
    return Batch(rows, frames, phones, counts)


def _up(number: int, step: int) -> int:
    return -(-number // step) * step
