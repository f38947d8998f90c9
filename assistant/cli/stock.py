"""`dosewren stock` and its commands."""

from __future__ import annotations

from typing import Any

import click

from assistant.cli.options import EPILOG, Commands, F, form_options, home_option, medicine_option


def _sure(command: F) -> F:
    return click.option("--yes", "sure", is_flag=True, help="Write it without asking again.")(
        command
    )


@click.group(cls=Commands, epilog=EPILOG, short_help="Keep books of what you make up.")
def stock() -> None:
    """Keep books of what you make up: batches made, measured, thrown away, and what is left."""


@stock.command(short_help="Write down a batch that you made up.")
@medicine_option
@click.option("--product", metavar="ML", help="The product that you measured.")
@click.option("--water", metavar="ML", help="The water that you measured.")
@click.option("--product-batch", metavar="TEXT", help="The batch number on the product's label.")
@click.option("--expires", metavar="DATE", help="When the product expires.")
@click.option("--discard", metavar="DATE", help="The last day on which the batch may be used.")
@click.option("--pot", metavar="TEXT", help="The pot that it is in.")
@_sure
@home_option
@click.pass_obj
def make(outer: str | None, /, home: str | None, *, sure: bool, **given: Any) -> None:
    """Write down a batch that you made up.  What is not given is asked for.

    Example: dosewren stock make --product 5 --water 45
    """
    from assistant.adapters.terminal.stock_making import Making
    from assistant.commands.stocking import make_batch

    make_batch(home or outer, Making(**given), sure=sure)


@stock.command(short_help="Write down what you measured in a pot.")
@click.argument("batch", required=False)
@click.argument("left", required=False)
@_sure
@home_option
@click.pass_obj
def measure(
    outer: str | None, /, home: str | None, batch: str | None, left: str | None, *, sure: bool
) -> None:
    """Write down what you measured in a pot, and be told how far the books were off.

    Example: dosewren stock measure 2 "34 mL"
    """
    from assistant.commands.stocking import measure_batch

    measure_batch(home or outer, batch, left, sure=sure)


@stock.command(short_help="Write down what you threw away.")
@click.argument("batch", required=False)
@click.argument("thrown", required=False)
@_sure
@home_option
@click.pass_obj
def throw(
    outer: str | None, /, home: str | None, batch: str | None, thrown: str | None, *, sure: bool
) -> None:
    """Write down that you threw a batch away, or some of it.

    Example: dosewren stock throw 2
    """
    from assistant.commands.stocking import throw_batch

    throw_batch(home or outer, batch, thrown, sure=sure)


@stock.command(name="list", short_help="List the batches and what is left of them.")
@click.option("--moves", is_flag=True, help="List every move: made, given, spilled, thrown away.")
@form_options
@home_option
@click.pass_obj
def list_batches(outer: str | None, /, home: str | None, **options: Any) -> None:
    """List the batches and what is left of them, or export every move.

    Example: dosewren stock list --csv > stock.csv
    """
    from assistant.commands.stocking import StockListing, list_stock

    list_stock(home or outer, StockListing(**options))
