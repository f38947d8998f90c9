"""A medicine as the keeper's file describes it, and its reading from that file."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from assistant.dosing.dilution import Dilution
from assistant.dosing.label import (
    Banding,
    Caution,
    Confirmation,
    ConfirmationState,
    Form,
    Interval,
    LabelDose,
)
from assistant.dosing.quantities import decimal_text

__all__ = [
    "Banding",
    "Caution",
    "Confirmation",
    "ConfirmationState",
    "Form",
    "Interval",
    "LabelDose",
    "Medicine",
    "confirmation_fields",
    "read_medicine",
]


@dataclass(frozen=True, slots=True)
class Medicine:
    """One medicine with everything that changes its dose, its limits or what is said of it.

    `strength_mg_per_ml` is of the neat product.  `shelf_life_days` is of the made-up dilution.
    `safety_multiple` is a limit inside the tool and is never said as reassurance.
    """

    key: str
    name: str
    spoken: tuple[str, ...]
    active: str
    strength_mg_per_ml: Fraction | None
    label: LabelDose
    dilution: Dilution
    safety_multiple: Decimal | None
    form: Form
    storage: str
    shelf_life_days: Decimal | None
    interval: Interval | None
    cautions: tuple[Caution, ...]
    source: str
    fictional: bool
    banding: Banding | None = None
    confirmation: Confirmation | None = None

    @property
    def working_ml_per_g(self) -> Fraction:
        """The mL of working dilution for each gram of bird, exact."""
        return self.label.neat_ml_per_kg * self.dilution.factor / 1000

    @property
    def figures(self) -> str:
        """A digest of all that a confirmation vouches for; comments and key order do not count."""
        canonical = json.dumps(_figures(self), sort_keys=True, ensure_ascii=True)
        return hashlib.sha256(canonical.encode("ascii")).hexdigest()

    @property
    def confirmation_state(self) -> ConfirmationState:
        """Whether a person has confirmed these very figures."""
        if self.confirmation is None:
            return ConfirmationState.UNCONFIRMED
        if self.confirmation.figures != self.figures:
            return ConfirmationState.EDITED_SINCE
        return ConfirmationState.CONFIRMED

    @property
    def is_confirmed(self) -> bool:
        """True when the figures stand as somebody confirmed them."""
        return self.confirmation_state is ConfirmationState.CONFIRMED

    @property
    def said_strength(self) -> str:
        """The strength to say, such as "25 mg per mL, diluted 1 in 10"."""
        how = f"diluted {self.dilution.short}" if self.dilution.water else "undiluted"
        if self.strength_mg_per_ml is None:
            return how
        return f"{decimal_text(self.strength_mg_per_ml)} mg per mL, {how}"


def confirmation_fields(medicine: Medicine, by: str, on: date) -> Mapping[str, str | date]:
    """The keys to write into the medicine's table once a person has confirmed it."""
    return {"confirmed_by": by, "confirmed_on": on, "confirmed_figures": medicine.figures}


def read_medicine(table: Mapping[str, object], place: str) -> Medicine:
    """Read one `[[medicine]]` table; raises FigureProblems with every problem in it.

    Keys: name, spoken, active, strength ("25 mg/mL"), dose ("0.5 mL/kg" of neat product, or
    "20 mg/kg"), dose_is_maximum, dilution ({product = 1, water = 9} or "1 + 9"), safety_multiple,
    form, storage, keeps_days, next_dose_days ([10, 14]), route, cautions ([{for, say, refuse}]),
    source, fictional, banding ({step = "50 g", cap_percent}), confirmed_by, confirmed_on,
    confirmed_figures.
    """
    raise NotImplementedError
