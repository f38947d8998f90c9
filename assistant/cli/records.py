"""`dosewren records`, `due` and `droppings`: what was done, and what comes next."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from assistant.cli.options import Command, home_option


@click.command(cls=Command, short_help="The record of treatments, for you, a vet or an inspector.")
@click.option("--from", "since", metavar="DAY", help="From this day on, as in 2026-03-01.")
@click.option("--to", "until", metavar="DAY", help="Up to and including this day.")
@click.option("--bird", metavar="NAME", help="Only this bird, by its name or its ring.")
@click.option("--cage", metavar="NAME", help="Only this cage.")
@click.option("--medicine", metavar="NAME", help="Only this medicine.")
@click.option("--round", "round_id", metavar="ID", help="Only this round; last is the newest one.")
@click.option(
    "--last", type=click.IntRange(min=1), metavar="N", help="Only the newest N treatments."
)
@click.option("--csv", "form", flag_value="csv", help="As CSV (RFC 4180), UTF-8.")
@click.option(
    "--bom",
    "byte_order",
    is_flag=True,
    help="With --csv: begin with the byte order mark that some spreadsheets want.",
)
@click.option("--json", "form", flag_value="json", help="As JSON, one object a line.")
@click.option(
    "--report",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Write it as a page to print, FILE.html.",
)
@home_option
@click.pass_obj
def records(outer: str | None, /, home: str | None, **options: Any) -> None:
    """Show the record of treatments, or export it: who was treated, with what, when, by whom.

    Example: dosewren records --round last --report record.html
    """
    from assistant.commands.records import Choosing, show_records

    show_records(home or outer, Choosing(**options))


@click.command(cls=Command, short_help="Say which birds are due for their next dose.")
@click.option(
    "--days",
    type=click.IntRange(min=1, max=366),
    default=7,
    show_default=True,
    help="Within how many days, today counted.",
)
@click.option(
    "--calendar",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Also write all next doses into a calendar file, FILE.ics.",
)
@home_option
@click.pass_obj
def due(outer: str | None, home: str | None, days: int, calendar: Path | None) -> None:
    """Say which birds are due for their next dose this week, and when to check droppings.

    Example: dosewren due --calendar due.ics
    """
    from assistant.commands.due import say_due

    say_due(home or outer, days, calendar)


@click.command(cls=Command, short_help="Write down a check of droppings, or list the checks.")
@click.argument("found", nargs=-1)
@click.option(
    "--of",
    "whose",
    metavar="NAME",
    default="all",
    help="The bird or cage that they are of (default: all birds).",
)
@home_option
@click.pass_obj
def droppings(outer: str | None, home: str | None, found: tuple[str, ...], whose: str) -> None:
    """Write down what was found in droppings, or list what was found before.

    Example: dosewren droppings no eggs seen --of "cage four"
    """
    from assistant.commands.due import write_droppings

    write_droppings(home or outer, whose, " ".join(found))
