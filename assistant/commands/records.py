"""`dosewren records`: the record of treatments, for the eye, for programs and for paper."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from itertools import chain, islice
from pathlib import Path
from typing import Literal

import click

from assistant.adapters.home.folder import Home, find_medicine
from assistant.adapters.paper.export import BYTE_ORDER, csv_lines, json_lines, listing
from assistant.adapters.paper.treatment_sheet import sheet_of_treatments
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.commands.reporting import Chosen, write_report
from assistant.dosing.names import fold
from assistant.dosing.tables import nearest
from assistant.errors import AssistantError, PartMissing, UsageProblem
from assistant.records.treatment import Treatment
from assistant.records.wanted import Wanted
from assistant.wiring import open_home

_HELPING = 500


@dataclass(frozen=True, slots=True)
class Choosing:
    """Which treatments, as the command line words it, and in what form."""

    since: str | None = None
    until: str | None = None
    bird: str | None = None
    cage: str | None = None
    medicine: str | None = None
    round_id: str | None = None
    last: int | None = None
    form: Literal["csv", "json"] | None = None
    byte_order: bool = False
    report: Path | None = None


def show_records(given: str | None, choosing: Choosing) -> None:
    """Print the treatments that are wanted; raises UsageProblem or PartMissing."""
    _check_byte_order(choosing)
    home = open_home(given)
    if not home.path.is_dir():
        raise PartMissing(
            f"There is no folder {home.path}, so there is no register in it.",
            "Name yours with --home DIR, or make one with: dosewren setup",
        )
    with SqliteRegister(home.register_file) as register:
        wanted = _wanted(home, register, choosing)
        found = register.treatments(wanted)
        first = next(found, None)
        if first is None:
            _explain_nothing(register, wanted)
        chosen = chain([first], found) if first else ()
        if choosing.report is None:
            _print(chosen, choosing)
        else:
            write_report(home, register, Chosen(wanted, chosen), choosing.report)


def _print(found: Iterable[Treatment], choosing: Choosing) -> None:
    match choosing.form:
        case "csv":
            out = sys.stdout.buffer  # bytes, so that no line end is translated
            out.write(BYTE_ORDER.encode() if choosing.byte_order else b"")
            for place, some in enumerate(_helpings(found)):
                lines = csv_lines(sheet_of_treatments(some), header=place == 0)
                out.writelines(line.encode("utf-8") for line in lines)
            out.flush()
        case "json":
            for some in _helpings(found):
                for line in json_lines(sheet_of_treatments(some)):
                    click.echo(line, nl=False)
        case None:
            sheet = sheet_of_treatments(found)
            for line in listing(sheet) if sheet.rows else ["No treatment."]:
                click.echo(line)


def _helpings(found: Iterable[Treatment]) -> Iterator[list[Treatment]]:
    """So many at a time, at least one list, so that an empty export has its header."""
    waiting = iter(found)
    some = list(islice(waiting, _HELPING))
    yield some
    while some := list(islice(waiting, _HELPING)):
        yield some


def _check_byte_order(choosing: Choosing) -> None:
    if choosing.byte_order and choosing.form != "csv":
        raise UsageProblem("--bom is there without --csv.", "Add --csv, or leave --bom out.")


def _wanted(home: Home, register: SqliteRegister, choosing: Choosing) -> Wanted:
    since, until = read_day("--from", choosing.since), read_day("--to", choosing.until)
    if since and until and since > until:
        raise UsageProblem(
            f"--from {since} is after --to {until}, so no day lies between them.",
            "Swap them.",
        )
    return Wanted(
        since=since,
        until=until,
        bird=choosing.bird and _bird(home, choosing.bird),
        cage=choosing.cage,
        medicine=choosing.medicine and _medicine(home, choosing.medicine),
        round_id=choosing.round_id and _round(register, choosing.round_id),
        last=choosing.last,
    )


def read_day(option: str, text: str | None) -> date | None:
    """A day such as 2026-03-01; raises UsageProblem for anything else."""
    if text is None:
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError as error:
        raise UsageProblem(
            f"{option} “{text}” is not a day.", "Write it as year, month, day: 2026-03-01."
        ) from error


def _bird(home: Home, name: str) -> str:
    """The bird's name as birds.toml writes it, or the words given: it may be there no longer."""
    with suppress(AssistantError):
        for bird in home.aviary().birds:
            own = {fold(one) for one in (bird.name, *bird.aliases, bird.ring or "") if one}
            if fold(name) in own:
                return bird.name
    return name.strip()


def _medicine(home: Home, name: str) -> str:
    with suppress(AssistantError):
        if found := find_medicine(home.medicines(), name):
            return found.name
    return name.strip()


def _round(register: SqliteRegister, round_id: str) -> str:
    """The round's own name; "last" is the newest one with a dose in it."""
    if round_id != "last":
        return round_id
    doses = register.doses(last=1)
    if not doses:
        raise UsageProblem("There is no round in the register yet.", "Leave --round out.")
    return doses[0].said.round_id


def _explain_nothing(register: SqliteRegister, wanted: Wanted) -> None:
    """Tell a name that the register never saw from a time without treatments."""
    names = {"bird": wanted.bird, "cage": wanted.cage, "medicine": wanted.medicine}
    asked = {column: name for column, name in names.items() if name is not None}
    if wanted.round_id is not None:
        asked["round_id"] = wanted.round_id
    for column, name in asked.items():
        known = register.names_in(column)
        if name in known:
            continue
        near = nearest(name, known) if column != "round_id" else None
        what = column.removesuffix("_id")
        remedy = f"Did you mean “{near}”?" if near else "See how it is written: dosewren records"
        raise UsageProblem(f"The register has no treatment of the {what} “{name}”.", remedy)
