"""Which ear should be first, by recordings of which it is known what was said.  Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import comb

from assistant.hearing.shares import Share

ENOUGH = 30
"""The fewest labelled recordings to choose by."""

_RARE = 0.05
"""How seldom chance may give so clear a lead: the usual 5 %."""


class Ear(StrEnum):
    """The ears there are, by the names that a keeper's file has for them."""

    NEURAL = "neural"
    POCKETSPHINX = "pocketsphinx"
    VOSK = "vosk"


@dataclass(frozen=True, slots=True)
class Pair:
    """The ear that writes, and the one that is asked for a second opinion."""

    first: Ear
    second: Ear | None = None

    @property
    def name(self) -> str:
        """The pair as a table shows it."""
        return f"{self.first} + {self.second}" if self.second else f"{self.first} alone"


USUAL = Pair(Ear.NEURAL, Ear.POCKETSPHINX)
"""What is in use where nothing else was chosen."""


class Fate(StrEnum):
    """What became of a recording.  WRONG: answered, or obeyed, as something that was not said."""

    RIGHT = "right"
    ASKED = "asked"
    MISSED = "not heard"
    WRONG = "WRONG"


@dataclass(frozen=True, slots=True)
class Score:
    """What became of the same recordings, in the same order, with one pair of ears."""

    pair: Pair
    fates: tuple[Fate, ...]

    def share(self, fate: Fate) -> Share:
        """How many had this fate."""
        return Share(self.fates.count(fate), len(self.fates))


def choose(in_use: Score, others: Sequence[Score]) -> Score:
    """The pair to use: the one in use, unless another is never worse in WRONG and clearly better.

    Clearly: more right by a sign test over the recordings on which the two differ, two-sided at
    5 % (Dixon and Mood 1946, J. Am. Stat. Assoc. 41:557-566), or fewer WRONG without being clearly
    less often right.  A single ear is not chosen over two.
    """
    best = in_use
    for one in others:
        if one.pair.second is not None and _is_better(one, best):
            best = one
    return best


def _is_better(one: Score, other: Score) -> bool:
    wrong, before = one.fates.count(Fate.WRONG), other.fates.count(Fate.WRONG)
    if wrong != before:
        return wrong < before and _lead(other, one) <= 0
    return _lead(one, other) > 0


def _lead(one: Score, other: Score) -> int:
    """1 where the first is clearly more often right, -1 where the other is, else 0."""
    pairs = list(zip(one.fates, other.fates, strict=True))
    won = sum(a is Fate.RIGHT and b is not Fate.RIGHT for a, b in pairs)
    lost = sum(b is Fate.RIGHT and a is not Fate.RIGHT for a, b in pairs)
    if sign_test(won, lost) > _RARE:
        return 0
    return 1 if won > lost else -1


def sign_test(won: int, lost: int) -> float:
    """How often chance alone would give a lead at least as uneven as this, two-sided."""
    trials, fewer = won + lost, min(won, lost)
    tail = sum(comb(trials, count) for count in range(fewer + 1))
    return min(1.0, tail / 2 ** (trials - 1)) if trials else 1.0
