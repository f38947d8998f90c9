"""An invented pot and its moves, for the tests of the stock."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from decimal import Decimal

from assistant.stock.batch import Batch
from assistant.stock.books import Book
from assistant.stock.moves import Move, MoveKind

MORNING = datetime(2026, 3, 1, 8, 30, tzinfo=timezone(timedelta(hours=10)))

POT = Batch(
    at=MORNING,
    batch_id="2026-03-01-1",
    number=1,
    medicine="Marigold Demo",
    strength="25 mg per mL, diluted 1 in 10",
    dilution="1 part product and 9 parts water, 1 in 10",
    product_ml=Decimal(5),
    water_ml=Decimal(45),
    discard_by=MORNING + timedelta(days=2),
    product_batch="",
    product_expires=None,
    pot="",
    fictional=True,
)

BLANK = Move(MORNING, "r1", POT.batch_id, MoveKind.GIVEN, Decimal(0))


def moved(kind: MoveKind, change: str | Decimal) -> Move:
    """A move of the pot."""
    return replace(BLANK, kind=kind, change_ml=Decimal(change))


def made_up(*moves: Move) -> Book:
    """The pot of 50 mL, and what became of it."""
    return Book(POT).after(moved(MoveKind.MADE, POT.made_ml), *moves)
