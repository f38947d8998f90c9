"""What is due, in words: for the ear a few, for the eye all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from assistant.records.due import DueGroup

MOST_SAID: Final = 4
"""How many lines are said aloud before the rest is only counted."""

WEIGH: Final = "Weigh each bird again first."


@dataclass(frozen=True, slots=True)
class DroppingsDue:
    """When droppings are to be looked at: the last look (None: none is known), and how often."""

    last: date | None
    every_days: int

    @property
    def on(self) -> date | None:
        """The day of the next look; None where there was none to count from."""
        return self.last and self.last + timedelta(days=self.every_days)

    def is_due(self, today: date, days: int = 7) -> bool:
        """Whether the next look falls within so many days, today counted, or is past."""
        return self.on is None or self.on <= today + timedelta(days=days - 1)


def due_lines(groups: Iterable[DueGroup], today: date) -> tuple[str, ...]:
    """One sentence for each group, the most urgent first as they come."""
    return tuple(f"{_birds(one)}: {one.medicine}, {_when(one, today)}." for one in groups)


def due_said(lines: Sequence[str], days: int = 7) -> str:
    """The same for the ear: a few sentences, the rest counted, and what comes before a dose."""
    if not lines:
        return f"Nothing is due {_span(days)}."
    said = " ".join(lines[:MOST_SAID])
    more = len(lines) - MOST_SAID
    if more > 0:
        said = f"{said} And {more} more: dosewren due lists them all."
    return f"Due {_span(days)}: {said} {WEIGH}"


def droppings_line(droppings: DroppingsDue, today: date) -> str:
    """When to look at droppings."""
    if droppings.on is None:
        return "Droppings: no check is in the register. Have them checked for worm eggs."
    when = "now" if droppings.on <= today else f"from {day_text(droppings.on, today)}"
    last = day_text(droppings.last or droppings.on, today)
    return f"Droppings: due {when}, last checked on {last}."


def day_text(day: date, today: date) -> str:
    """A day as it is said, such as "12 March"; with the year where it is another."""
    said = f"{day.day} {_MONTHS[day.month - 1]}"
    return said if day.year == today.year else f"{said} {day.year}"


_MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June", "July", "August", "September"),
    *("October", "November", "December"),
)


def _span(days: int) -> str:
    if days == 1:
        return "today"
    return "this week" if days == 7 else f"in the next {days} days"  # noqa: PLR2004 - a week


def _birds(one: DueGroup) -> str:
    whose = one.whose
    cage = f", cage {_bare(whose.cage)}" if whose.cage else ""
    if whose.known:
        name = whose.bird or f"ring {whose.ring}"
        return f"{name}, {whose.species}{cage}"
    number = f", {one.birds} birds" if one.birds > 1 else ""
    return f"{whose.species}{number}{cage}"


def _bare(cage: str) -> str:
    """The cage without the word, where its name has it already."""
    return cage[5:] if cage.casefold().startswith("cage ") else cage


def _when(one: DueGroup, today: date) -> str:
    first, last = day_text(one.earliest, today), day_text(one.latest, today)
    if one.latest < today:
        return f"late: it was due until {last}"
    if one.earliest == one.latest:
        return "due today" if one.earliest == today else f"due on {first}"
    if one.latest == today:
        return "due today at the latest"
    return f"due now, until {last}" if one.earliest <= today else f"due from {first} to {last}"
