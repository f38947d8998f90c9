"""`dosewren stock`: batches made up, measured, thrown away, listed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

import click

from assistant.adapters.paper.stock_sheets import sheet_of_books, sheet_of_moves
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.adapters.terminal.plain import TerminalPrompter
from assistant.adapters.terminal.stock_desk import StockDesk
from assistant.adapters.terminal.stock_keeping import measure, out_of_date, throw
from assistant.adapters.terminal.stock_making import Making, make
from assistant.commands.keeping import Listing, print_sheet
from assistant.wiring import open_home


@dataclass(frozen=True, slots=True)
class StockListing:
    """What of the stock to list, and how."""

    moves: bool = False
    form: Literal["csv", "json"] | None = None


def make_batch(home: str | None, given: Making, *, sure: bool) -> None:
    """Write a batch that was made up."""
    with _desk(home, sure=sure) as desk:
        make(desk, given)


def measure_batch(home: str | None, number: str | None, found: str | None, *, sure: bool) -> None:
    """Bring the books to what is in the pot."""
    with _desk(home, sure=sure) as desk:
        measure(desk, number, found)


def throw_batch(home: str | None, number: str | None, thrown: str | None, *, sure: bool) -> None:
    """Write that stock was thrown away."""
    with _desk(home, sure=sure) as desk:
        throw(desk, number, thrown)


def list_stock(home: str | None, wanted: StockListing) -> None:
    """Print every batch with what became of it, or every move."""
    with _desk(home, sure=True) as desk:
        books, now = desk.register.books(), desk.clock.now()
        sheet = (
            sheet_of_moves(desk.register.moves()) if wanted.moves else sheet_of_books(books, now)
        )
    if not books and wanted.form is None:
        click.echo("There is no batch yet. Make one: dosewren stock make")
        return
    print_sheet(sheet, Listing(form=wanted.form))
    if wanted.form is None and not wanted.moves:
        for line in out_of_date(books, now):
            click.echo(line)


@contextmanager
def _desk(given: str | None, *, sure: bool) -> Iterator[StockDesk]:
    home = open_home(given)
    holding = home.holding()
    with SqliteRegister(home.register_file) as register:
        yield StockDesk(holding, TerminalPrompter(), register, SystemClock(), sure)
