"""Moves: everything that puts working dilution into a pot or takes it out, one row each.

A move changes what is in the pot by `change_ml`, below zero for what goes out.  What is left is the
sum of all changes, so nothing can be made or lost between the rows.

    made       + the whole batch
    given      − what went from the syringe towards a bird: given, part given, or not known
    kept       − what a needle took up when it was primed, once for each priming
    surplus    − what was pushed out at a priming, down to the mark
    lost       − what was drawn and not given: it is never poured back
    spilled    − what a spilled pot lost, by measuring what is left
    thrown     − what was thrown away
    measured   ± what measuring found to be more or less than the books said
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from assistant.dosing.needle import Needle, NeedleState, draw_to
from assistant.dosing.syringe import Syringe


class MoveKind(StrEnum):
    """What moved the stock."""

    MADE = "made"
    GIVEN = "given"
    KEPT = "kept"
    SURPLUS = "surplus"
    LOST = "lost"
    SPILLED = "spilled"
    THROWN = "thrown"
    MEASURED = "measured"


_ONLY_OUT = frozenset({MoveKind.KEPT, MoveKind.SURPLUS, MoveKind.SPILLED, MoveKind.THROWN})
"""Kinds that only ever take out.  A dose that is scratched comes back as a row of its own."""


@dataclass(frozen=True, slots=True)
class Move:
    """One move of one batch, in mL; raises ValueError for a change that its kind cannot make."""

    at: datetime
    round_id: str
    batch_id: str
    kind: MoveKind
    change_ml: Decimal
    dose_id: str | None = None
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse what no pot can do."""
        if not self.change_ml.is_finite():
            raise ValueError("A move of stock is a number of mL.")
        if self.kind is MoveKind.MADE and self.change_ml <= 0:
            raise ValueError("What is made is more than nothing.")
        if self.kind in _ONLY_OUT and self.change_ml > 0:
            raise ValueError(f"What is {self.kind} goes out of the pot.")


@dataclass(frozen=True, slots=True)
class Drawn:
    """What one dose takes out of a pot, in mL.

    `dose_ml` is for the bird, `kept_ml` stays in a needle that was not full, and `surplus_ml` is
    pushed out through it, tip up, down to the mark.
    """

    dose_ml: Decimal
    kept_ml: Decimal = Decimal(0)
    surplus_ml: Decimal = Decimal(0)

    @property
    def all_ml(self) -> Decimal:
        """All of it."""
        return self.dose_ml + self.kept_ml + self.surplus_ml


def drawn(dose_ml: Decimal, needle: Needle, state: NeedleState, syringe: Syringe) -> Drawn:
    """What a dose takes with the needle in this state: as much as the reply said to draw."""
    if state in (NeedleState.FULL, NeedleState.UNKNOWN):
        return Drawn(dose_ml)
    past = draw_to(dose_ml, needle, state, syringe)
    return Drawn(dose_ml, needle.dead_ml, past - dose_ml - needle.dead_ml)


def dose_moves(blank: Move, taken: Drawn) -> tuple[Move, ...]:
    """The moves of one dose: the dose as `blank.kind`, and its priming, where there was one.

    `blank` has the batch, the time and the dose.
    """
    parts = (
        (blank.kind, taken.dose_ml),
        (MoveKind.KEPT, taken.kept_ml),
        (MoveKind.SURPLUS, taken.surplus_ml),
    )
    return tuple(replace(blank, kind=kind, change_ml=-volume) for kind, volume in parts if volume)
