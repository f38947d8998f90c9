"""When again: the repeat doses that are open, folded from the doses that were given.

A dose opens the window for the next one: from its earliest to its latest day, both included.  The
next dose of the same bird and medicine closes it.  A bird with a ring or a name is known again.
Birds without either are known by their species and cage only, so each later dose closes the oldest
window that was open for such a bird on that day, and a dose on any other day is another bird's.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from itertools import groupby
from typing import Final

FORGOTTEN: Final = 2
"""After so many times the latest day a repeat is no longer one: the next dose begins anew, and the
old window is not called due any more (common practice, no source)."""


@dataclass(frozen=True, slots=True, order=True)
class Whose:
    """Whose dose it was, as far as that is known again: by ring, else by name, else by cage."""

    species: str
    cage: str = ""
    bird: str = ""
    ring: str = ""

    @property
    def known(self) -> bool:
        """Whether it is one bird that can be told from the others."""
        return bool(self.ring or self.bird)

    @property
    def key(self) -> tuple[str, ...]:
        """What two doses of the same bird share, wherever it sits now."""
        if self.ring:
            return ("ring", self.ring.casefold())
        if self.bird:
            return ("bird", self.bird.casefold())
        return ("cage", self.species, self.cage.casefold())


@dataclass(frozen=True, slots=True)
class Given:
    """A dose that counts: whose, which medicine, on which day, and the window it opens, in days.

    `course_doses` is how many doses a course has, None where the label is silent.
    """

    dose_id: str
    whose: Whose
    medicine: str
    on: date
    earliest_days: int
    latest_days: int
    course_doses: int | None = None
    birds: int = 1
    fictional: bool = False


class Standing(StrEnum):
    """How a window stands on a day."""

    EARLY = "early"
    DUE = "due"
    LATE = "late"


@dataclass(frozen=True, slots=True)
class Repeat:
    """An open window: the dose that opened it, and which of the course the next dose is."""

    after: Given
    number: int

    @property
    def earliest(self) -> date:
        """The first day of the window."""
        return self.after.on + timedelta(days=self.after.earliest_days)

    @property
    def latest(self) -> date:
        """The last day of the window."""
        return self.after.on + timedelta(days=self.after.latest_days)

    @property
    def forgotten_on(self) -> date:
        """The day from which it is not called due any more."""
        return self.after.on + timedelta(days=FORGOTTEN * self.after.latest_days + 1)

    def standing(self, today: date) -> Standing:
        """Whether the window is not yet open, open, or past."""
        if today < self.earliest:
            return Standing.EARLY
        return Standing.DUE if today <= self.latest else Standing.LATE


def repeats(given: Iterable[Given]) -> tuple[Repeat, ...]:
    """The windows that are open after these doses, the first to open first.

    A course that has had all its doses opens none.  Doses may come in any order.
    """
    by_bird = sorted(given, key=_group)
    still_open = (
        one for _, doses in groupby(by_bird, _group) for one in _open_windows(list(doses))
    )
    return tuple(sorted(still_open, key=lambda one: (one.earliest, one.after.whose, one.latest)))


def due_by(windows: Iterable[Repeat], today: date, days: int = 7) -> tuple[Repeat, ...]:
    """Those that are due, late, or begin to be due within so many days, today counted."""
    last = today + timedelta(days=days - 1)
    return tuple(one for one in windows if one.earliest <= last and today < one.forgotten_on)


def look_back_days(windows: Iterable[tuple[int, int | None]]) -> int:
    """How many days of doses tell all that is open: (latest day, doses in a course) of each."""
    return max((FORGOTTEN * latest * (doses or 1) + 1 for latest, doses in windows), default=0)


def _group(one: Given) -> tuple[tuple[str, ...], str]:
    return one.whose.key, one.medicine


def _open_windows(doses: Sequence[Given]) -> list[Repeat]:
    """The windows that the doses of one bird, or of birds that cannot be told apart, leave open."""
    waiting: list[Repeat] = []
    for dose in sorted(doses, key=lambda one: (one.on, one.dose_id)):
        place = next((at for at, one in enumerate(waiting) if _closes(dose, one)), None)
        before = None if place is None else waiting.pop(place)
        number = before.number if before and dose.on < before.forgotten_on else 1
        waiting.append(Repeat(dose, number + 1))
    return [one for one in waiting if not _complete(one)]


def _closes(dose: Given, window: Repeat) -> bool:
    if dose.whose.known:
        return True
    return window.earliest <= dose.on < window.forgotten_on and not _complete(window)


def _complete(window: Repeat) -> bool:
    doses = window.after.course_doses
    return doses is not None and window.number > doses


@dataclass(frozen=True, slots=True)
class DueGroup:
    """Windows that can be told in one line: the same birds, medicine and days."""

    whose: Whose
    medicine: str
    earliest: date
    latest: date
    birds: int
    fictional: bool


def grouped(windows: Iterable[Repeat]) -> tuple[DueGroup, ...]:
    """Birds that cannot be told apart counted together; each known bird by itself, in order."""
    groups: dict[tuple[object, ...], DueGroup] = {}
    for one in windows:
        key = (one.after.whose.key, one.after.medicine, one.earliest, one.latest)
        if key in groups:
            groups[key] = replace(groups[key], birds=groups[key].birds + one.after.birds)
        else:
            groups[key] = DueGroup(
                one.after.whose,
                one.after.medicine,
                one.earliest,
                one.latest,
                one.after.birds,
                one.after.fictional,
            )
    return tuple(groups.values())
