"""Scores, pure: what became of an utterance, shares with their intervals, goals and verdicts.

Shares carry Wilson's score interval (Wilson 1927, J. Am. Stat. Assoc. 22:209-212); events per hour
the exact Poisson interval (Garwood 1936, Biometrika 28:437-442), both at 95 %.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from assistant.bench.acoustic.records import DOSES, Kind, Truth

Z_95 = 1.959963984540054
"""The 0.975 quantile of the normal distribution."""


class Fate(StrEnum):
    """What became of an utterance.

    RIGHT: the dose or command that was asked for.  WRONG: a dose that was not asked for, or with
    another species or weight.  COMMAND: taken for a command that it was not.
    """

    RIGHT = "right"
    ASKED = "asked"
    WRONG = "wrong"
    COMMAND = "command"
    IGNORED = "ignored"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What ears and conversation made of one utterance; the words of `status` are the turn's.

    `meaning` is what a command meant, the same for all its wordings.
    """

    status: str
    intent: str | None = None
    species: str | None = None
    grams: Decimal | None = None
    dose_ml: Decimal | None = None
    meaning: str = ""
    heard: str = ""
    confidence: float = 0.0
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class Result:
    """One trial with what came of it.

    `then` is what the keeper's answer to a question led to.  `seconds` is the utterance's length;
    `busy_s` is the computing that it cost, `latency_s` what was still to be done when its sound
    had ended, `cpu_s` the processor time of all threads.
    """

    number: int
    kind: Kind
    text: str
    meaning: str
    truth: Truth | None
    condition: str
    noise: str | None
    snr_db: float | None
    voice: str
    style: str
    first: Outcome
    then: Outcome | None = None
    seconds: float = 0.0
    busy_s: float = 0.0
    cpu_s: float = 0.0
    latency_s: float = 0.0

    @property
    def fate(self) -> Fate:
        """What became of the utterance at once."""
        return fate(self, self.first)

    @property
    def end(self) -> Fate:
        """What became of it after at most one question and the keeper's answer."""
        if self.fate is not Fate.ASKED or self.then is None:
            return self.fate
        return fate(self, self.then)

    @property
    def volume_error(self) -> float | None:
        """By how much the dose that was answered differs from the right one, as a part of it."""
        for outcome in (self.then, self.first):
            if self.truth and outcome and outcome.dose_ml is not None:
                return float((outcome.dose_ml - self.truth.dose_ml) / self.truth.dose_ml)
        return None


def fate(result: Result, outcome: Outcome) -> Fate:
    """What an outcome is for this utterance."""
    match outcome.status:
        case "answered":
            return Fate.RIGHT if _is_right(result, outcome) else Fate.WRONG
        case "command":
            as_meant = result.kind is Kind.CONTROL and outcome.meaning == result.meaning
            return Fate.RIGHT if as_meant else Fate.COMMAND
        case "asked":
            return Fate.ASKED
    return Fate.IGNORED


def _is_right(result: Result, outcome: Outcome) -> bool:
    truth = result.truth
    if result.kind not in DOSES or truth is None:
        return False
    return (outcome.species, outcome.grams) == (truth.species, truth.grams)


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many, with the 95 % interval of the share."""

    count: int
    of: int

    @property
    def value(self) -> float:
        """The share itself; of nothing it is not a number."""
        return self.count / self.of if self.of else math.nan

    @property
    def interval(self) -> tuple[float, float]:
        """Wilson's interval; of nothing it is everything."""
        return wilson(self.count, self.of)


def wilson(count: int, of: int, z: float = Z_95) -> tuple[float, float]:
    """The score interval of a share."""
    if of == 0:
        return 0.0, 1.0
    share, square = count / of, z * z
    middle = (share + square / (2 * of)) / (1 + square / of)
    half = z / (1 + square / of) * math.sqrt(share * (1 - share) / of + square / (4 * of * of))
    # at the ends the bound is exact, which rounding would spoil
    low = 0.0 if count == 0 else max(0.0, middle - half)
    return low, 1.0 if count == of else min(1.0, middle + half)


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


@dataclass(frozen=True, slots=True)
class Tally:
    """A row: what became of the utterances that belong to it."""

    name: str
    results: tuple[Result, ...]

    def share(self, wanted: Fate) -> Share:
        """How many had this fate at once."""
        return Share(sum(one.fate is wanted for one in self.results), len(self.results))

    def in_the_end(self, wanted: Fate) -> Share:
        """How many had this fate after at most one question."""
        return Share(sum(one.end is wanted for one in self.results), len(self.results))

    def taken_for(self, intent: str) -> Share:
        """How many were taken for a command that they were not, of this intent."""
        count = sum(one.fate is Fate.COMMAND and one.first.intent == intent for one in self.results)
        return Share(count, len(self.results))

    def false_an_hour(self) -> Rate:
        """Doses said an hour of sound in which none was asked for."""
        wrong = sum(one.fate is Fate.WRONG for one in self.results)
        return Rate(wrong, sum(one.seconds for one in self.results) / 3600)

    def volume_errors(self) -> tuple[float, ...]:
        """The errors in volume of the wrong answers, the smallest first, without their signs."""
        wrong = [one for one in self.results if Fate.WRONG in (one.fate, one.end)]
        return tuple(sorted(abs(error) for one in wrong if (error := one.volume_error) is not None))


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


def tallies(results: Iterable[Result], key: Callable[[Result], str]) -> list[Tally]:
    """A row for each value of the key, in the order in which they first come."""
    rows: dict[str, list[Result]] = {}
    for one in results:
        rows.setdefault(key(one), []).append(one)
    return [Tally(name, tuple(found)) for name, found in rows.items()]
