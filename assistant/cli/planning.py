"""`dosewren plan` and `dosewren needle`: what a round takes, before it begins."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from assistant.cli.options import Command, home_option, medicine_option


@click.command(cls=Command, short_help="Plan a round: doses, what to make up, what to lay out.")
@click.argument("birds", nargs=-1, required=True, metavar="FILE.csv | PHRASE")
@medicine_option
@click.option(
    "--change",
    type=click.Choice(["round", "cage", "bird"]),
    help="How often a clean needle is fitted (default: as kit.toml says, or once a round).",
)
@click.option(
    "--days", type=click.IntRange(1, 60), default=1, help="Over how many days the round goes."
)
@click.option(
    "--spare",
    type=click.IntRange(0, 100),
    metavar="PERCENT",
    help="How much to make up on top of what is needed.",
)
@click.option("--sheet", type=click.Path(path_type=Path), help="Write the round sheet here (HTML).")
@click.option("--label", type=click.Path(path_type=Path), help="Write the pot's label here (HTML).")
@click.option(
    "--made",
    type=click.DateTime(["%Y-%m-%d %H:%M", "%Y-%m-%d"]),
    metavar='"YYYY-MM-DD HH:MM"',
    help="When the pot is made up, for the label (default: now).",
)
@click.option("--csv", "as_csv", is_flag=True, help="One row for each bird as CSV (RFC 4180).")
@home_option
@click.pass_obj
def plan(outer: str | None, /, home: str | None, birds: tuple[str, ...], **options: Any) -> None:
    """Plan a round for a list of birds: each dose, what to make up, what to lay out.

    The list is a CSV file with the columns species, grams, name, ring, cage and sex, of which only
    species is needed; or a phrase such as: thirty budgerigars, six galahs

    Example: dosewren plan birds.csv --sheet sheet.html --label label.html
    """
    from assistant.commands.planning import Planning, plan_a_round

    plan_a_round(home or outer, " ".join(birds), Planning(**options))


@click.command(cls=Command, short_help="Measure what a needle holds, or see which is usual.")
@click.option("--for", "bird", metavar="BIRD", help="Say which needle is usual for this bird.")
@home_option
@click.pass_obj
def needle(outer: str | None, home: str | None, bird: str | None) -> None:
    """Measure what a crop needle holds, with water, step by step; then write it into kit.toml.

    Example: dosewren needle --for galah
    """
    from assistant.commands.needles import advise_on, measure_one

    if bird:
        advise_on(home or outer, bird)
    else:
        measure_one(home or outer)
