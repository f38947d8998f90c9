"""`dosewren plan`: a round before it begins, from a list of birds."""

from __future__ import annotations

import sys
from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path

import click

from assistant.adapters.birds.table import BirdList, read_bird_list
from assistant.adapters.birds.words import read_bird_words
from assistant.adapters.home.folder import Holding, Home
from assistant.adapters.paper.export import csv_lines
from assistant.adapters.paper.pages import save_page
from assistant.adapters.paper.plan_sheet import sheet_of_plan
from assistant.adapters.paper.pot_label import label_page
from assistant.adapters.paper.round_sheet import round_sheet
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.adapters.terminal.plan_lines import plan_lines
from assistant.dosing.measures import NeedleChange
from assistant.dosing.medicine import Medicine
from assistant.errors import UsageProblem
from assistant.planning.past import Had, Past
from assistant.planning.pot_label import pot_labels
from assistant.planning.round_plan import Plan, Wishes, plan_round
from assistant.planning.small_doses import small_doses
from assistant.wiring import open_home


@dataclass(frozen=True, slots=True)
class Planning:
    """What was asked of a plan; what is None is as the kit or the medicine has it."""

    medicine: str | None = None
    change: str | None = None
    spare: int | None = None
    days: int = 1
    sheet: Path | None = None
    label: Path | None = None
    made: datetime | None = None
    as_csv: bool = False


def plan_a_round(home: str | None, listed: str, wanted: Planning) -> None:
    """Print the plan for the birds of a file or of a phrase, and write the pages asked for."""
    opened = open_home(home)
    holding, now = opened.holding(), SystemClock().now()
    medicine = _medicine(holding, wanted.medicine)
    birds = _birds(listed, holding)
    past = _past(opened, wanted.made or now)
    plan = plan_round(birds.birds, medicine, holding.kit, _wishes(holding, wanted), past)
    if wanted.as_csv:
        # bytes, so that no line end is translated
        rows = csv_lines(sheet_of_plan(plan))
        sys.stdout.buffer.writelines(line.encode("utf-8") for line in rows)
        sys.stdout.buffer.flush()
    else:
        for line in plan_lines(plan, small_doses(plan, holding.kit)):
            click.echo(line)
    for header in birds.left_aside:
        click.echo(f"Left aside: the column {header}", err=True)
    _write_pages(plan, holding, wanted, now)


def _past(home: Home, at: datetime) -> Past:
    """What the birds of the register had before the day of the round."""
    with SqliteRegister(home.register_file) as register:
        last = register.dosed_since(0).last
    had = defaultdict[str, dict[str, Had]](dict)
    for (bird, medicine), dosed in last.items():
        if dosed:
            on = dosed.at.astimezone(at.tzinfo).date()
            had[bird][medicine] = Had(on, dosed.volume_ml, dosed.grams)
    return Past(at.date(), had)


def _write_pages(plan: Plan, holding: Holding, wanted: Planning, now: datetime) -> None:
    if wanted.sheet:
        save_page(wanted.sheet, round_sheet(plan, wanted.made or now, holding.kit))
        click.echo(f"Round sheet: {wanted.sheet}", err=True)
    if wanted.label:
        labels = pot_labels(plan, wanted.made or now)
        if not labels:
            raise UsageProblem("Nothing is made up for this round, so no label was written.")
        save_page(wanted.label, label_page(labels))
        click.echo(f"Label: {wanted.label}", err=True)


def _birds(listed: str, holding: Holding) -> BirdList:
    """The birds of a file, where the words name one, else of the words themselves."""
    path = Path(listed)
    if path.suffix.casefold() in {".csv", ".tsv", ".txt"} or path.is_file():
        return read_bird_list(path, holding.aviary)
    return BirdList(read_bird_words(listed, holding.aviary))


def _medicine(holding: Holding, named: str | None) -> Medicine:
    """The medicine of the round; raises UsageProblem where it is not clear which, or not usable."""
    found = holding.medicine(named) if named else holding.usual_medicine
    names = ", ".join(one.name for one in holding.medicines)
    if found is None:
        what = f"There is no medicine “{named}”." if named else "Which medicine?"
        raise UsageProblem(what, f'Add --medicine "NAME", one of: {names or "none yet"}.')
    if not found.is_confirmed:
        raise UsageProblem(
            f"{found.name} is not confirmed as it stands, so nothing is planned with it.",
            f'Run: dosewren confirm "{found.name}"',
        )
    return found


def _wishes(holding: Holding, wanted: Planning) -> Wishes:
    kit = holding.kit
    return Wishes(
        change=NeedleChange(wanted.change) if wanted.change else kit.needle_change,
        spare_percent=kit.spare_percent if wanted.spare is None else Decimal(wanted.spare),
        days=wanted.days,
    )
