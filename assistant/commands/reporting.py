"""The page of `dosewren records --report`: gathered from the register and the keeper's files."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from itertools import islice
from pathlib import Path
from typing import Final

import click

from assistant.adapters.home.folder import Home
from assistant.adapters.paper.pages import save_page
from assistant.adapters.paper.record_page import ASKED, RecordPage, record_page
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.dosing.species import Species
from assistant.errors import AssistantError, UsageProblem
from assistant.records.due_sentences import day_text
from assistant.records.glance import Tally, over_time
from assistant.records.treatment import Treatment
from assistant.records.wanted import Wanted
from assistant.stock.books import Book

MOST_TREATMENTS: Final = 5000
"""More than this nobody prints: some two hundred sheets of paper."""

_MOST_BATCHES: Final = 12


@dataclass(frozen=True, slots=True)
class Chosen:
    """The treatments that were chosen, and what they were chosen by."""

    wanted: Wanted
    treatments: Iterable[Treatment]


def write_report(home: Home, register: SqliteRegister, chosen: Chosen, target: Path) -> None:
    """Write the page; raises UsageProblem for too many treatments or a file that is not ours."""
    some = list(islice(chosen.treatments, MOST_TREATMENTS + 1))
    if len(some) > MOST_TREATMENTS:
        raise UsageProblem(
            f"More than {MOST_TREATMENTS} treatments are too many for one page.",
            "Choose days with --from and --to, or export them with --csv.",
        )
    record = RecordPage(
        treatments=some,
        chosen=chosen_text(chosen.wanted, some),
        made_at=SystemClock().now(),
        vet=_vet(home),
        species=_species(home),
        books=_books(register, some) if _is_whole(chosen.wanted) else (),
        asked=_asked(register, chosen.wanted, some) if _is_whole(chosen.wanted) else (),
    )
    save_page(target, record_page(record))
    click.echo(f"Written: {target}, {len(some)} treatment{'' if len(some) == 1 else 's'}.")


def chosen_text(wanted: Wanted, treatments: Sequence[Treatment]) -> str:
    """In words, which treatments these are."""
    parts = [
        f"bird {wanted.bird}" if wanted.bird else "",
        f"cage {wanted.cage}" if wanted.cage else "",
        wanted.medicine or "",
        f"round {wanted.round_id}" if wanted.round_id else "",
        f"the newest {wanted.last}" if wanted.last else "",
        _days_text(wanted, treatments),
    ]
    return ", ".join(filter(None, parts))


def _days_text(wanted: Wanted, treatments: Sequence[Treatment]) -> str:
    """From when to when: as asked for, else as found."""
    days = [one.said_at.date() for one in treatments]
    first = wanted.since or min(days, default=None)
    last = wanted.until or max(days, default=None)
    if first is None or last is None:
        return "none"
    said = [f"{day_text(day, day)} {day.year}" for day in (first, last)]
    return said[0] if first == last else f"{said[0]} to {said[1]}"


def _is_whole(wanted: Wanted) -> bool:
    """Whether nothing was left out between two days: then stock and questions belong to them."""
    return not (wanted.bird or wanted.cage or wanted.medicine or wanted.last)


def _vet(home: Home) -> str | None:
    with suppress(AssistantError):
        return home.kit().vet
    return None


def _species(home: Home) -> Sequence[Species]:
    with suppress(AssistantError):
        return home.aviary().species_list
    return ()


def _books(register: SqliteRegister, treatments: Sequence[Treatment]) -> Sequence[Book]:
    used = dict.fromkeys(one.product.stock_batch for one in treatments if one.product.stock_batch)
    return register.books_of(list(used)[-_MOST_BATCHES:])


def _asked(
    register: SqliteRegister, wanted: Wanted, treatments: Sequence[Treatment]
) -> tuple[Tally, ...]:
    days: list[date] = sorted(one.said_at.date() for one in treatments)
    if not days:
        return ()
    kind_of = dict(zip(("answered", "asked"), ASKED, strict=True))
    found = register.asked_by_day((days[0], days[-1]), wanted.round_id)
    return over_time((day, kind_of[status], many) for day, status, many in found)
