"""The register of a large invented aviary: a round of all its birds every fortnight, for years."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from functools import cached_property
from pathlib import Path

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.conversation.entries import (
    DoseEnd,
    DoseEndEntry,
    DoseEntry,
    Entry,
    ExchangeEntry,
    TreatmentEntry,
)
from assistant.stock.batch import Batch, batch_id
from assistant.stock.moves import Move, MoveKind

BIRDS = 400
NEWEST = datetime(2026, 3, 1, 8, tzinfo=timezone(timedelta(hours=10)))
"""When the newest round began."""

_ROWS_A_BIRD = 6
_FORTNIGHT = timedelta(days=14)
_EACH = timedelta(seconds=30)
_EXCHANGE = ExchangeEntry(
    NEWEST, "", "voice", "an ear", "cockatiel ninety five", 0.9, "answered", "dose", "{}", None,
    "Cockatiel, 95 grams. 0.47 mL. Needle full: draw to 0.47 mL only.",
)  # fmt: skip
_DOSE = DoseEntry(
    NEWEST, "", "", "Cockatiel", None, Decimal(95), "Marigold Demo",
    "25 mg per mL, diluted 1 in 10", "1 part product and 9 parts water, 1 in 10", Decimal("0.47"),
    Decimal("0.475"), "1 mL syringe", "14 gauge, 75 mm", "full", None, fictional=True,
)  # fmt: skip
_TREATMENT = TreatmentEntry(
    at=NEWEST, round_id="", dose_id="", keeper="Demo Keeper", holding=None, prescriber=None,
    reason=None, ring=None, cage=None, sex=None, birds=1, active="demosol (invented)",
    strength_mg_per_ml=Decimal(25), product=Decimal(1), water=Decimal(9), label_dose="0.5 mL/kg",
    route="mouth", product_batch=None, product_expires=None, egg_days=None, meat_days=None,
    earliest_days=10, latest_days=14, course_doses=None,
)  # fmt: skip
_BATCH = Batch(
    NEWEST, "", 1, _DOSE.medicine, _DOSE.strength, _DOSE.dilution, Decimal(50), Decimal(450),
    NEWEST, "LOT 7", date(2030, 1, 1), "jar", fictional=True,
)  # fmt: skip


@dataclass(frozen=True)
class _Round:
    """One round, so many fortnights ago; of the newest one the last bird still waits."""

    number: int

    @property
    def round_id(self) -> str:
        return f"r{self.number}"

    @property
    def begun(self) -> datetime:
        return NEWEST - self.number * _FORTNIGHT

    @cached_property
    def doses(self) -> list[DoseEntry]:
        return [
            replace(
                _DOSE, at=self.begun + bird * _EACH, round_id=self.round_id,
                dose_id=f"{self.round_id}-{bird}", bird=f"Bird {bird}",
            )
            for bird in range(BIRDS)
        ]  # fmt: skip

    @cached_property
    def batch(self) -> Batch:
        number = self.number % 99 + 1
        return replace(
            _BATCH, at=self.begun, number=number, batch_id=batch_id(self.begun, number),
            discard_by=self.begun + timedelta(days=2),
        )  # fmt: skip

    def entries(self) -> Iterator[Entry]:
        """Every row of the round, in the order in which it is written."""
        made = self.batch
        yield made
        yield Move(made.at, "stock", made.batch_id, MoveKind.MADE, made.made_ml)
        for dose in self.doses:
            yield from (self._asked(dose), dose, self._treatment(dose))
            if self.number or dose is not self.doses[-1]:
                yield from (self._said(dose), self._given(dose), self._drawn(dose))

    def _asked(self, dose: DoseEntry) -> ExchangeEntry:
        return replace(_EXCHANGE, at=dose.at, round_id=dose.round_id)

    def _said(self, dose: DoseEntry) -> ExchangeEntry:
        return replace(self._asked(dose), heard="given", status="command", intent="given")

    def _treatment(self, dose: DoseEntry) -> TreatmentEntry:
        ring = f"R {dose.dose_id.partition('-')[2]}"
        return replace(
            _TREATMENT, at=dose.at, round_id=dose.round_id, dose_id=dose.dose_id, ring=ring
        )

    def _given(self, dose: DoseEntry) -> DoseEndEntry:
        return DoseEndEntry(dose.at, dose.round_id, dose.dose_id, DoseEnd.GIVEN, "given")

    def _drawn(self, dose: DoseEntry) -> Move:
        made = self.batch.batch_id
        change = -dose.volume_ml
        return Move(dose.at, dose.round_id, made, MoveKind.GIVEN, change, dose.dose_id, "given")


def make_large(path: Path, rows: int) -> int:
    """Write about so many rows into a new register, in the order of time; give their number."""
    rounds = max(rows // (_ROWS_A_BIRD * BIRDS), 1)
    count = 0
    with SqliteRegister(path) as register:
        for number in reversed(range(rounds)):
            entries = list(_Round(number).entries())
            register.append(entries)
            count += len(entries)
    return count
