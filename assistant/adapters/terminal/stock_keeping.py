"""The stock by text: a batch measured or thrown away.  Nothing is written without a yes."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Final

from assistant.adapters.terminal.stock_desk import (
    ROUND,
    StockDesk,
    agreed,
    answered,
    any_ml,
    some_ml,
)
from assistant.dosing.days import day
from assistant.dosing.quantities import decimal_text
from assistant.errors import UsageProblem
from assistant.stock.batch import is_out_of_date
from assistant.stock.books import Book, measured, unexplained
from assistant.stock.moves import Move, MoveKind

_SHELF: Final = 99
"""How many of the last batches a number is looked for in: no two of these share one."""


def measure(desk: StockDesk, number: str | None, found: str | None) -> Book | None:
    """Bring the books of a batch to what was measured in its pot; None where the keeper says no."""
    book = _book(desk, number)
    name = book.batch.name
    question = f"What is left of {name}, measured, in mL"
    left = answered(desk, question, found, lambda answer: _in_the_pot(book, answer))
    blank = _blank(desk, book, MoveKind.MEASURED)
    moves = measured(book, left, blank)
    if not agreed(desk, difference(book, left)):
        return None
    desk.register.append(moves)
    desk.prompter.say(f"Written. {decimal_text(left)} mL is left of {name}.")
    return book.after(*moves)


def _in_the_pot(book: Book, answer: str) -> Decimal:
    """A volume that the pot can hold of this batch; raises ValueError for more than was made."""
    left = any_ml(answer)
    if left > book.made_ml:
        raise ValueError(
            f"{decimal_text(left)} mL is more than the {decimal_text(book.made_ml)} mL that were "
            f"made of {book.batch.name}. Measure it again, and look at the number on the pot."
        )
    return left


def difference(book: Book, found_ml: Decimal) -> list[str]:
    """What measuring found against the books, in words."""
    change = found_ml - book.left_ml
    said = f"{decimal_text(abs(change))} mL {'less' if change < 0 else 'more'}"
    books, found = decimal_text(book.left_ml), decimal_text(found_ml)
    name = f"{book.batch.name.capitalize()} of {book.batch.medicine}"
    counted = f"{books} mL by the books, {found} mL measured"
    lines = [f"{name}: {counted}: {said if change else 'they agree'}."]
    if unexplained(book, found_ml) is not None:
        less, more = "a spill, or a dose that was not written", "a dose that was not drawn"
        lines.append(f"That is more than reading a pot explains: {less if change < 0 else more}?")
    return lines


def throw(desk: StockDesk, number: str | None, thrown: str | None) -> Book | None:
    """Write that a batch, or some of it, was thrown away; None where the keeper says no."""
    book = _book(desk, number)
    name, left = book.batch.name, book.left_ml
    gone = left if thrown is None else answered(desk, "", thrown, some_ml)
    if gone > left or left <= 0:
        raise UsageProblem(
            f"By the books {decimal_text(max(left, Decimal(0)))} mL is left of {name}.",
            f"Measure it, then: dosewren stock measure {book.batch.number}",
        )
    rest = decimal_text(left - gone)
    said = (
        f"{decimal_text(gone)} mL of {name} of {book.batch.medicine} thrown away: {rest} mL left."
    )
    if not agreed(desk, [said]):
        return None
    move = Move(desk.clock.now(), ROUND, book.batch.batch_id, MoveKind.THROWN, -gone)
    desk.register.append([move])
    desk.prompter.say("Written.")
    return book.after(move)


def _blank(desk: StockDesk, book: Book, kind: MoveKind) -> Move:
    return Move(desk.clock.now(), ROUND, book.batch.batch_id, kind, Decimal(0))


def _book(desk: StockDesk, number: str | None) -> Book:
    """The batch of this number, or the only one there is something left of."""
    books = desk.register.books(_SHELF)
    if not books:
        raise UsageProblem("There is no batch yet.", "Make one: dosewren stock make")
    some = [book for book in books if book.left_ml > 0]
    if number is None and len(some) == 1:
        return some[0]
    names = ", ".join(str(book.batch.number) for book in some or books)
    return answered(desk, f"Which batch? {names}", number, lambda answer: _numbered(books, answer))


def _numbered(books: tuple[Book, ...], answer: str) -> Book:
    for book in reversed(books):
        if answer in (str(book.batch.number), book.batch.batch_id, book.batch.name):
            return book
    known = ", ".join(str(book.batch.number) for book in books)
    raise ValueError(f"There is no batch “{answer}”. There is: {known}.")


def out_of_date(books: tuple[Book, ...], at: datetime) -> list[str]:
    """A line for each pot that has to be thrown away."""
    return [
        f"{book.batch.name.capitalize()} of {book.batch.medicine} has been out of date since "
        f"{day(book.batch.discard_by)}: throw it away, then dosewren stock throw "
        f"{book.batch.number}."
        for book in books
        if book.left_ml > 0 and is_out_of_date(book.batch, at)
    ]
