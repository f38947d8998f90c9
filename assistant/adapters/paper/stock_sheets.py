"""The stock as sheets: what became of each batch, and every single move."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Final

from assistant.adapters.paper.export import Cell, Sheet
from assistant.stock.batch import is_out_of_date
from assistant.stock.books import Book
from assistant.stock.moves import Move, MoveKind

_BATCH: Final = (
    *("batch_id", "number", "medicine", "strength", "dilution", "at", "discard_by"),
    *("product_ml", "water_ml", "product_batch", "product_expires", "pot", "fictional"),
)
_MOVE: Final = ("at", "round_id", "batch_id", "kind", "change_ml", "dose_id", "note")


def sheet_of_books(books: Iterable[Book], at: datetime) -> Sheet:
    """One row for each batch: what was made, what became of it, what is left, and its state now.

    Volumes that went out are above zero; `measured_ml` is signed.
    """
    volumes = tuple(f"{kind}_ml" for kind in MoveKind)
    return Sheet(
        columns=(*_BATCH, *volumes, "left_ml", "state"),
        rows=tuple(_batch_row(book, at) for book in books),
        brief=("number", "medicine", "pot", "discard_by", "made_ml", "left_ml", "state"),
        amounts=frozenset({"product_ml", "water_ml", *volumes, "left_ml"}),
    )


def _batch_row(book: Book, at: datetime) -> tuple[Cell, ...]:
    known: list[Cell] = [_cell(getattr(book.batch, name)) for name in _BATCH]
    return (*known, *(_became(book, kind) for kind in MoveKind), book.left_ml, state_of(book, at))


def _cell(value: object) -> Cell:
    """A cell as it is; dates and numbers of pots are texts."""
    match value:
        case None | str() | bool() | Decimal() | datetime():
            return value
    return str(value)


def _became(book: Book, kind: MoveKind) -> Decimal:
    if kind in (MoveKind.MADE, MoveKind.MEASURED):
        return book.sums.get(kind, Decimal(0))
    return book.out_ml(kind)


def state_of(book: Book, at: datetime) -> str:
    """Whether a batch can be used: "good", "empty" or "out of date"."""
    if book.left_ml <= 0:
        return "empty"
    return "out of date" if is_out_of_date(book.batch, at) else "good"


def sheet_of_moves(moves: Iterable[Move]) -> Sheet:
    """One row for each move; `change_ml` is below zero for what went out."""
    return Sheet(
        columns=_MOVE,
        rows=tuple(tuple(getattr(move, name) for name in _MOVE) for move in moves),
        brief=("at", "batch_id", "kind", "change_ml", "note"),
        amounts=frozenset({"change_ml"}),
    )
