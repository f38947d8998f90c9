"""A batch: one pot of working dilution, made up once and used until it is out of date or empty."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from assistant.dosing.days import day, last_day
from assistant.dosing.dilution import Dilution
from assistant.dosing.medicine import Medicine
from assistant.dosing.quantities import decimal_text, rounded_text

MOST_NUMBERS = 99
"""Batches are numbered up to this and then from 1 again: a number stays short enough to say and to
write on a pot, and an old pot with the same number is long gone."""

MOST_OFF = Fraction(1, 100)
"""How far the strength of a batch may be from the medicine's own: what rounding to the marks of a
measure may do.  The doses are worked out for the medicine's own strength.  Our own limit."""


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch as it was made up; volumes are mL, `at` is when.

    `medicine`, `strength` and `dilution` are those of the medicine then.  `product_batch` and
    `product_expires` are on the product's own label (empty, or None: not stated), `pot` is what it
    stands in.  From `discard_by` on it is out of date.
    """

    at: datetime
    batch_id: str
    number: int
    medicine: str
    strength: str
    dilution: str
    product_ml: Decimal
    water_ml: Decimal
    discard_by: datetime
    product_batch: str
    product_expires: date | None
    pot: str
    fictional: bool

    @property
    def last_day(self) -> date:
        """The last day on which it is good, if only for a part of it."""
        return last_day(self.discard_by)

    @property
    def made_ml(self) -> Decimal:
        """What product and water make: volumes add up, near enough (common practice, no source)."""
        return self.product_ml + self.water_ml

    @property
    def name(self) -> str:
        """The batch as it is called: "batch 2"."""
        return f"batch {self.number}"


def next_number(last: int | None) -> int:
    """The number of the batch after one with this number."""
    return 1 if last is None else last % MOST_NUMBERS + 1


def batch_id(at: datetime, number: int) -> str:
    """A name of its own for ever: the day it was made, and its number."""
    return f"{at.date().isoformat()}-{number}"


def why_not_made(product_ml: Decimal, water_ml: Decimal, dilution: Dilution) -> str | None:
    """Why this much product and water is not the medicine's dilution, or None where it is."""
    if product_ml <= 0 or water_ml < 0:
        return "There has to be some product, and no less than no water."
    made = Dilution(product_ml, water_ml)
    off = abs(dilution.factor / made.factor - 1)
    if off <= MOST_OFF:
        return None
    water = rounded_text(Fraction(product_ml) * (dilution.factor - 1))
    one_in = rounded_text(made.factor, 1)
    how = f"1 in {one_in}" if made.water else "undiluted"
    return (
        f"{decimal_text(product_ml)} mL of product and {decimal_text(water_ml)} mL of water is "
        f"{how}, not {dilution.short}. "
        f"{decimal_text(product_ml)} mL of product needs {water} mL of water."
    )


def why_not_used(batch: Batch, medicine: Medicine, at: datetime) -> str | None:
    """Why this batch is not for a round of this medicine now, or None where it is."""
    name = batch.name.capitalize()
    if batch.medicine != medicine.name:
        return f"{name} is {batch.medicine}; this round is {medicine.name}."
    if batch.strength != medicine.said_strength or batch.dilution != medicine.dilution.said:
        return (
            f"{name} was made up as {batch.strength}. The doses are for {medicine.said_strength}."
        )
    if is_out_of_date(batch, at):
        return f"{name} has been out of date since {day(batch.discard_by)}: throw it away."
    return None


def is_out_of_date(batch: Batch, at: datetime) -> bool:
    """Whether the batch must no longer be used."""
    return at >= batch.discard_by
