"""Scores, pure: what became of utterances, and how far an ear's confidence can be believed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from assistant.bench.acoustic.intervals import Rate, Share
from assistant.bench.acoustic.records import DOSES, Kind, Truth


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

    `meaning` is what a command meant, the same for all its wordings.  `face` is the dose that the
    words would be answered with if they were typed: what the ear heard, before any doubt of it.
    `evidence` is all else that the ear had to say, as plain data, for whoever fits on it.
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
    face: Truth | None = None
    evidence: Mapping[str, object] | None = None


@dataclass(frozen=True, slots=True)
class Result:
    """One trial with what came of it.

    `then` is what the keeper's answer to a question led to.  `seconds` is the utterance's length;
    `busy_s` is the computing that it cost, `latency_s` what was still to be done when its sound
    had ended, and those with `cpu` the same in processor time of all threads, as on one core.
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
    latency_cpu_s: float = 0.0

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
    def at_face_value(self) -> Fate:
        """What became of it if the words heard were typed: the ear without a decision after it."""
        face = self.first.face
        if face is None:
            return Fate.IGNORED
        return Fate.RIGHT if self.truth and _is_same(face, self.truth) else Fate.WRONG

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


def _is_same(face: Truth, truth: Truth) -> bool:
    return (face.species, face.grams) == (truth.species, truth.grams)


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


@dataclass(frozen=True, slots=True)
class Bin:
    """Utterances heard as a dose with a confidence in one range, and how many of them rightly."""

    low: float
    high: float
    confidence: float
    right: Share


def reliability(results: Iterable[Result], count: int = 10) -> list[Bin]:
    """The bins of a reliability plot; an empty bin is left out.

    All that was heard as a dose counts, also chatter, which is never heard rightly.
    """
    heard = [one for one in results if one.first.face is not None]
    bins = []
    for place in range(count):
        inside = [
            one for one in heard if min(int(one.first.confidence * count), count - 1) == place
        ]
        if inside:
            right = sum(one.at_face_value is Fate.RIGHT for one in inside)
            mean = sum(one.first.confidence for one in inside) / len(inside)
            share = Share(right, len(inside))
            bins.append(Bin(place / count, (place + 1) / count, mean, share))
    return bins


def calibration_error(bins: Sequence[Bin]) -> float:
    """The expected calibration error: the bins' gaps between confidence and share, weighted.

    Naeini, Cooper and Hauskrecht 2015, AAAI 29, section on measures (from memory).
    """
    total = sum(one.right.of for one in bins)
    if not total:
        return math.nan
    return sum(one.right.of * abs(one.confidence - one.right.value) for one in bins) / total


def tallies(results: Iterable[Result], key: Callable[[Result], str]) -> list[Tally]:
    """A row for each value of the key, in the order in which they first come."""
    rows: dict[str, list[Result]] = {}
    for one in results:
        rows.setdefault(key(one), []).append(one)
    return [Tally(name, tuple(found)) for name, found in rows.items()]
