"""`dosewren due` and `dosewren droppings`: what comes next, and what was looked at."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path

import click

from assistant.adapters.home.filing import save_ours
from assistant.adapters.home.folder import Home
from assistant.adapters.paper.export import Sheet, listing
from assistant.adapters.paper.repeat_calendar import (
    MARK,
    calendar_text,
    droppings_event,
    repeat_events,
)
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.conversation.entries import DroppingsEntry
from assistant.dosing.kit import Kit
from assistant.errors import DataProblem, UsageProblem
from assistant.records.due import Repeat, due_by, grouped
from assistant.records.due_sentences import (
    WEIGH,
    DroppingsDue,
    droppings_line,
    due_lines,
    due_said,
)
from assistant.wiring import open_home

_ALL = "all"
_OWN_ROUND = "droppings"
"""What stands in the register for the round, since a look at droppings belongs to none."""


def say_due(given: str | None, days: int, calendar: Path | None) -> None:
    """Print what is due within so many days, and write the calendar where one is wanted."""
    home, now = open_home(given), SystemClock().now()
    kit, today = home.kit(), now.date()
    with SqliteRegister(home.register_file) as register:
        repeats = register.windows(home.medicines(), today)
        looks = _droppings(register, kit)
    lines = due_lines(grouped(due_by(repeats, today, days)), today)
    for line in lines or [due_said((), days)]:
        click.echo(line)
    if lines:
        click.echo(WEIGH)
    if looks and looks.is_due(today, days):
        click.echo(droppings_line(looks, today))
    if calendar is not None:
        _write_calendar(calendar, _still_open(repeats, today), looks, now)


def _still_open(repeats: Sequence[Repeat], today: date) -> list[Repeat]:
    return [one for one in repeats if today < one.forgotten_on]


def _write_calendar(
    target: Path, repeats: Sequence[Repeat], looks: DroppingsDue | None, now: datetime
) -> None:
    events = list(repeat_events(grouped(repeats)))
    if looks:
        events.append(droppings_event(looks, now.date()))
    if not events:
        click.echo(
            f"Nothing is due on any day, so {target} was not written: a calendar needs an event."
        )
        return
    save_ours(target, calendar_text(events, now), MARK)
    click.echo(f"Written: {target}, {len(events)} event{'' if len(events) == 1 else 's'}.")


def _droppings(register: SqliteRegister, kit: Kit) -> DroppingsDue | None:
    if kit.droppings_every_days is None:
        return None
    last = register.droppings(last=1)
    return DroppingsDue(last[0].at.date() if last else None, kit.droppings_every_days)


def write_droppings(given: str | None, whose: str, found: str) -> None:
    """Write a look at droppings down, or list those that were."""
    home = open_home(given)
    home.kit()  # a home that is not there is told as such, and none is made
    with SqliteRegister(home.register_file) as register:
        if found:
            _write_look(home, register, whose, found)
        else:
            _list_looks(register)


def _write_look(home: Home, register: SqliteRegister, whose: str, found: str) -> None:
    if not whose.strip():
        raise UsageProblem("--of is empty.", 'Name a bird or a cage, as in --of "cage four".')
    now = SystemClock().now()
    register.append([DroppingsEntry(now, _OWN_ROUND, whose.strip(), found)])
    of = "all birds" if whose.strip() == _ALL else whose.strip()
    said = f"Written: droppings of {of}, {found}."
    with suppress(DataProblem):
        if looks := _droppings(register, home.kit()):
            said = f"{said} {droppings_line(looks, now.date())}"
    click.echo(said)


def _list_looks(register: SqliteRegister) -> None:
    looks = register.droppings()
    sheet = Sheet(
        columns=("at", "of", "found"),
        rows=tuple((one.at, one.whose, one.found) for one in looks),
        brief=("at", "of", "found"),
    )
    lines = listing(sheet) if looks else ["No check of droppings is in the register."]
    for line in lines:
        click.echo(line)
