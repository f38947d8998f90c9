"""What a picture shows better than a table: counts over time, and weights beside their range."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from assistant.dosing.dose_end import DoseEnd
from assistant.dosing.species import Species
from assistant.records.treatment import Treatment
from assistant.records.weights import Loss, Weighing, fast_loss

MOST_BARS: Final = 31
"""More days than this are counted by the week, more weeks by the month, more months by the year."""

ENDS: Final[Mapping[str, frozenset[DoseEnd | None]]] = {
    "given": frozenset({DoseEnd.GIVEN}),
    "part given, or not known": frozenset({DoseEnd.PART_GIVEN, DoseEnd.NOT_KNOWN}),
    "not given, scratched or open": frozenset({DoseEnd.NOT_GIVEN, DoseEnd.SCRATCHED, None}),
}
"""The kinds of dose in a picture."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How many of each kind fell into one span of time, by its label."""

    label: str
    counts: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class SpeciesWeights:
    """All weights of one species, in grams, with its usual range where one is known."""

    species: str
    grams: tuple[Decimal, ...]
    low_g: Decimal | None = None
    high_g: Decimal | None = None


@dataclass(frozen=True, slots=True)
class BirdWeights:
    """The weighings of one bird that is known again, in the order of time."""

    name: str
    species: str
    weighings: tuple[Weighing, ...]

    @property
    def fast_loss(self) -> Loss | None:
        """What it lost fast up to its last weighing."""
        return fast_loss(self.weighings, self.weighings[-1])


def doses_over_time(treatments: Iterable[Treatment]) -> tuple[Tally, ...]:
    """How many doses ended how, over time."""
    kind_of = {end: kind for kind, ends in ENDS.items() for end in ends}
    return over_time((one.said_at.date(), kind_of[one.end], 1) for one in treatments)


def over_time(events: Iterable[tuple[date, str, int]]) -> tuple[Tally, ...]:
    """Counts of (day, kind, how many) by day, week, month or year, with the empty spans between."""
    counts: defaultdict[date, Counter[str]] = defaultdict(Counter)
    for day, kind, number in events:
        counts[day][kind] += number
    if not counts:
        return ()
    first, last = min(counts), max(counts)
    span = next(one for one in _SPANS if _number_of(one, first, last) <= MOST_BARS)
    spans: dict[date, Counter[str]] = {day: Counter() for day in _starts(span, first, last)}
    for day, some in counts.items():
        spans[span.start(day)].update(some)
    return tuple(Tally(span.label(day), some) for day, some in spans.items())


def weights_by_species(
    treatments: Iterable[Treatment], known: Sequence[Species]
) -> tuple[SpeciesWeights, ...]:
    """The weights of each species, by its name; one that was scratched was perhaps another's."""
    ranges = {one.name: one for one in known}
    grams: defaultdict[str, list[Decimal]] = defaultdict(list)
    for one in treatments:
        if one.end is not DoseEnd.SCRATCHED:
            grams[one.patient.species].append(one.patient.grams)
    return tuple(
        SpeciesWeights(name, tuple(weights), *_range(ranges.get(name)))
        for name, weights in sorted(grams.items())
    )


def weights_by_bird(treatments: Iterable[Treatment]) -> tuple[BirdWeights, ...]:
    """The history of each bird with a name or a ring; a scratched one was perhaps another's."""
    found: defaultdict[tuple[str, str], list[Weighing]] = defaultdict(list)
    for one in treatments:
        name = one.patient.bird or one.patient.ring
        if name and one.end is not DoseEnd.SCRATCHED:
            found[name, one.patient.species].append(Weighing(one.said_at, one.patient.grams))
    return tuple(
        BirdWeights(name, species, tuple(sorted(weighings, key=lambda one: one.at)))
        for (name, species), weighings in sorted(found.items())
    )


def _range(species: Species | None) -> tuple[Decimal | None, Decimal | None]:
    return (species.low_g, species.high_g) if species else (None, None)


def _number_of(span: _Span, first: date, last: date) -> int:
    """How many spans there may be at most; the longest kind of span is taken however many."""
    return (last - first) // timedelta(days=span.least_days) + 1 if span.least_days else 1


def _starts(span: _Span, first: date, last: date) -> Iterator[date]:
    day = span.start(first)
    while day <= last:
        yield day
        day = span.start(day + timedelta(days=span.most_days))


@dataclass(frozen=True, slots=True)
class _Span:
    """A kind of span: the day it starts on, its label, and how long it is at least and at most.

    From the start of a span, `most_days` further on is within the next one.
    """

    start: Callable[[date], date]
    label: Callable[[date], str]
    least_days: int
    most_days: int


_SPANS: Final = (
    _Span(lambda day: day, lambda day: f"{day.day} {day:%b}", 1, 1),
    _Span(lambda day: day - timedelta(days=day.weekday()), lambda day: f"{day.day} {day:%b}", 7, 7),
    _Span(lambda day: day.replace(day=1), lambda day: f"{day:%b %Y}", 28, 31),
    _Span(lambda day: day.replace(month=1, day=1), lambda day: f"{day:%Y}", 0, 366),
)
