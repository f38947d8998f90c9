"""What stands on the pot: what is in it, how strong, until when, and what to do before a draw."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from assistant.dosing.days import end_of
from assistant.dosing.medicine import Medicine
from assistant.dosing.quantities import decimal_text, rounded_text
from assistant.planning.round_plan import Making, Plan


@dataclass(frozen=True, slots=True)
class PotLabel:
    """The label of one pot; `discard_at` is None where the medicine's file says no keeping time.

    `strength` and `parts` say how strong it is, both ways.  `made` and `holds` are amounts.
    """

    medicine: str
    active: str
    strength: str
    parts: str
    made: str
    holds: str
    made_at: datetime
    discard_at: datetime | None
    storage: str
    shaken: bool
    fictional: bool
    number: int
    of: int


def pot_labels(plan: Plan, made_at: datetime) -> tuple[PotLabel, ...]:
    """A label for each pot of the plan, the first made up at this time, the others when due."""
    making = plan.making
    if making is None:
        return ()
    pots = making.batches
    return tuple(
        # the pots are spread over the days of the round
        _label(plan.medicine, making, made_at + timedelta(at * plan.wishes.days // pots), at + 1)
        for at in range(pots)
    )


def _label(medicine: Medicine, making: Making, made_at: datetime, number: int) -> PotLabel:
    mix = making.mix
    made = f"{decimal_text(mix.product_ml)} mL of product"
    if mix.water:
        made += f" and {decimal_text(mix.water_ml)} mL of water"
    return PotLabel(
        medicine=medicine.name,
        active=medicine.active,
        strength=strength_words(medicine, making),
        parts=f"{medicine.dilution.short}: {medicine.dilution.parts}",
        made=made,
        holds=f"{decimal_text(mix.total_ml)} mL",
        made_at=made_at,
        discard_at=_discard_at(medicine, made_at),
        storage=medicine.storage,
        shaken=medicine.is_shaken,
        fictional=medicine.fictional,
        number=number,
        of=making.batches,
    )


def _discard_at(medicine: Medicine, made_at: datetime) -> datetime | None:
    """When it is out of date, never after the bottle that it is made from; None: not stated."""
    keeps, last = medicine.shelf_life_days, medicine.record.product_expires
    if keeps is None:
        return None
    until = made_at + timedelta(days=float(keeps))
    if last is None or last < made_at.date():  # of a bottle that is past, a new one is taken
        return until
    return min(until, end_of(last, made_at))


def strength_words(medicine: Medicine, making: Making) -> str:
    """How strong the made-up stock really is, such as "2.5 mg in each mL"."""
    off = making.strength_off_percent
    if medicine.strength_mg_per_ml is None:
        return "" if not off else _off(off)
    working = medicine.strength_mg_per_ml / medicine.dilution.factor * (1 + off / 100)
    text = f"{rounded_text(working, 3)} mg of {medicine.active} in each mL"
    return f"{text}, {_off(off)}" if off else text


def _off(off: Fraction) -> str:
    side = "stronger" if off > 0 else "weaker"
    return f"{rounded_text(max(abs(off), Fraction(1, 10)), 1)} % {side} than meant"


def keeping(days: Decimal) -> str:
    """For how long a pot keeps: "2 days", or "12 hours" below a day."""
    if days < 1:
        return f"{decimal_text(days * 24)} hours"
    return f"{decimal_text(days)} {'day' if days == 1 else 'days'}"
