"""The books of the stock: every move of a batch folded into what became of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import ROUND_FLOOR, Decimal

from assistant.dosing.quantities import decimal_text
from assistant.stock.batch import Batch
from assistant.stock.moves import Move, MoveKind

MEASURED_WITHIN = Decimal("0.01")
"""How far the books and the pot may be apart, as a share of what was made, before it is called
unexplained: reading a pot is no better.  Our own limit (common practice, no source)."""

LEAST_UNEXPLAINED_ML = Decimal("0.5")
"""A difference smaller than this is never called unexplained: a drop here and there."""

_TENTH = Decimal("0.1")
_WHOLE_FROM_ML = 10


@dataclass(frozen=True, slots=True)
class Book:
    """One batch with the sum of its moves by kind, in mL."""

    batch: Batch
    sums: Mapping[MoveKind, Decimal] = field(default_factory=dict)

    def after(self, *moves: Move) -> Book:
        """The book with these moves in it; raises ValueError for a move of another batch."""
        sums = dict(self.sums)
        for move in moves:
            if move.batch_id != self.batch.batch_id:
                raise ValueError(f"{move.batch_id} is not {self.batch.batch_id}")
            sums[move.kind] = sums.get(move.kind, Decimal(0)) + move.change_ml
        return replace(self, sums=sums)

    @property
    def left_ml(self) -> Decimal:
        """What is in the pot; below zero where more was drawn than the books know of."""
        return sum(self.sums.values(), Decimal(0))

    @property
    def made_ml(self) -> Decimal:
        """What was made."""
        return self.sums.get(MoveKind.MADE, Decimal(0))

    def out_ml(self, *kinds: MoveKind) -> Decimal:
        """What went out by these moves, above zero."""
        return -sum((self.sums.get(kind, Decimal(0)) for kind in kinds), Decimal(0))


@dataclass(frozen=True, slots=True)
class Shelf:
    """The last batches, the newest last, since a mark; None where no move came after it."""

    mark: int
    books: tuple[Book, ...] | None = None


def measured(book: Book, found_ml: Decimal, blank: Move) -> tuple[Move, ...]:
    """The move that brings the book to what was found in the pot; none where they agree.

    A spilled pot that holds less than the books say lost the difference; anything else is a
    difference of measuring.  `blank` has the kind, the batch and the time.
    """
    change = found_ml - book.left_ml
    if not change:
        return ()
    kind = MoveKind.MEASURED if change > 0 else blank.kind
    return (replace(blank, kind=kind, change_ml=change),)


def unexplained(book: Book, found_ml: Decimal) -> Decimal | None:
    """The difference that no reading of a pot explains, signed, in mL; None where there is none."""
    change = found_ml - book.left_ml
    allowed = max(book.made_ml * MEASURED_WITHIN, LEAST_UNEXPLAINED_ML)
    return change if abs(change) > allowed else None


def enough_for(left_ml: Decimal, mean_ml: Decimal, priming_ml: Decimal = Decimal(0)) -> int:
    """For how many more doses of this mean it is enough, after one more priming; never too many."""
    if mean_ml <= 0 or left_ml <= priming_ml:
        return 0
    return int((left_ml - priming_ml) // mean_ml)


def about(volume_ml: Decimal) -> str:
    """A volume for planning, never more than there is: "14 mL", and below 10 mL "3.4 mL"."""
    step = Decimal(1) if volume_ml >= _WHOLE_FROM_ML else _TENTH
    return f"{decimal_text(max(volume_ml, Decimal(0)).quantize(step, ROUND_FLOOR))} mL"
