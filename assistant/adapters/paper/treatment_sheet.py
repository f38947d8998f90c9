"""The record of treatments as a sheet: one row for each dose, a column for each fact.

What nobody stated is an empty cell.  `history` tells what was corrected and how the dose ended, in
order; `no_eggs_until` and `no_meat_until` are the last days on which they are not to be eaten.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final

from assistant.adapters.paper.export import Cell, Sheet
from assistant.dosing.quantities import to_decimal
from assistant.records.treatment import Change, Treatment

_PLACES: Final = 4


def sheet_of_treatments(treatments: Iterable[Treatment]) -> Sheet:
    """One row for each treatment."""
    return Sheet(
        columns=tuple(_COLUMNS),
        rows=tuple(tuple(cell(one) for cell in _COLUMNS.values()) for one in treatments),
        brief=("at", "bird", "species", "cage", "grams", "medicine", "volume_ml", "end"),
        amounts=frozenset({"volume_ml", "mg", "mg_per_kg", "strength_mg_per_ml"}),
    )


def history_text(changes: Iterable[Change]) -> str:
    """What happened to a record, in order: "2026-03-01 08:31 given; …"."""
    return "; ".join(
        f"{change.at.isoformat(sep=' ', timespec='minutes')[:16]} {change.what}"
        + (f" ({change.note})" if change.note else "")
        for change in changes
    )


def next_window(treatment: Treatment) -> tuple[date, date] | None:
    """The first and the last day for the next dose, where this one counts and has a window."""
    rules = treatment.rules
    if not treatment.counts or rules.earliest_days is None or rules.latest_days is None:
        return None
    given = treatment.at.date()
    return given + timedelta(days=rules.earliest_days), given + timedelta(days=rules.latest_days)


def _rounded(value: Fraction | None) -> Decimal | None:
    return None if value is None else to_decimal(value, _PLACES)


_COLUMNS: Final[Mapping[str, Callable[[Treatment], Cell]]] = {
    "at": lambda one: one.at,
    "dose_id": lambda one: one.dose_id,
    "round_id": lambda one: one.round_id,
    "keeper": lambda one: one.keeper,
    "holding": lambda one: one.holding,
    "species": lambda one: one.patient.species,
    "bird": lambda one: one.patient.bird,
    "ring": lambda one: one.patient.ring,
    "cage": lambda one: one.patient.cage,
    "sex": lambda one: one.patient.sex,
    "birds": lambda one: one.patient.birds,
    "grams": lambda one: one.patient.grams,
    "medicine": lambda one: one.product.name,
    "active": lambda one: one.product.active,
    "strength_mg_per_ml": lambda one: one.product.strength_mg_per_ml,
    "strength": lambda one: one.product.strength,
    "dilution": lambda one: one.product.dilution,
    "product_batch": lambda one: one.product.batch,
    "product_expires": lambda one: one.product.expires,
    "stock_batch": lambda one: one.product.stock_batch,
    "label_dose": lambda one: one.product.label_dose,
    "volume_ml": lambda one: one.volume_ml,
    "mg": lambda one: _rounded(one.milligrams),
    "mg_per_kg": lambda one: _rounded(one.mg_per_kg),
    "route": lambda one: one.route,
    "reason": lambda one: one.reason,
    "prescriber": lambda one: one.prescriber,
    "end": lambda one: one.end,
    "egg_days": lambda one: one.rules.egg_days,
    "no_eggs_until": lambda one: one.no_eggs_until if one.counts else None,
    "meat_days": lambda one: one.rules.meat_days,
    "no_meat_until": lambda one: one.no_meat_until if one.counts else None,
    "next_from": lambda one: (next_window(one) or (None, None))[0],
    "next_until": lambda one: (next_window(one) or (None, None))[1],
    "course_doses": lambda one: one.rules.course_doses,
    "note": lambda one: one.note,
    "history": lambda one: history_text(one.history),
    "said_at": lambda one: one.said_at,
    "fictional": lambda one: one.product.fictional,
}
