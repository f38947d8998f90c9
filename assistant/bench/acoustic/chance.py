"""Chance that can be repeated: a generator of its own for every name."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import TypeVar

import numpy as np

T = TypeVar("T")


def generator(name: str) -> np.random.Generator:
    """A random generator that depends on the name alone, on every machine."""
    digest = hashlib.blake2b(name.encode("utf-8"), digest_size=16).digest()
    return np.random.Generator(np.random.PCG64(int.from_bytes(digest, "big")))


def side(name: str) -> int:
    """0 or 1 by the name alone: which half of the bench a bird's name or a weight belongs to."""
    return hashlib.blake2b(name.encode("utf-8"), digest_size=1).digest()[0] & 1


def pick(chance: np.random.Generator, items: Sequence[T]) -> T:
    """One of the items."""
    return items[int(chance.integers(len(items)))]


def shuffled(chance: np.random.Generator, items: Sequence[T]) -> list[T]:
    """The items in another order."""
    return [items[int(place)] for place in chance.permutation(len(items))]
