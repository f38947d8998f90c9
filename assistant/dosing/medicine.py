"""A medicine as the keeper's file describes it, and its reading from that file."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from assistant.dosing import medicine_table as parts
from assistant.dosing.dilution import Dilution
from assistant.dosing.for_record import ForRecord, read_for_record
from assistant.dosing.label import (
    NOTHING_PERMITTED,
    Banding,
    Caution,
    Confirmation,
    ConfirmationState,
    Form,
    Interval,
    LabelDose,
    Permissions,
)
from assistant.dosing.names import fold
from assistant.dosing.quantities import Kind, decimal_text
from assistant.dosing.tables import Table, present

__all__ = [
    "Banding",
    "Caution",
    "Confirmation",
    "ConfirmationState",
    "Form",
    "Interval",
    "LabelDose",
    "Medicine",
    "Permissions",
    "confirmation_fields",
    "read_medicine",
]


@dataclass(frozen=True)
class Medicine:
    """One medicine with everything that changes its dose, its limits or what is said of it.

    What follows from the figures is worked out once for each medicine: a round asks it for every
    bird.

    `strength_mg_per_ml` is of the neat product.  `shelf_life_days` is of the made-up dilution.
    `safety_multiple` is a limit inside the tool and is never said as reassurance.  `shake` is
    whether it is shaken before each draw, where the file says more than its form.
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
    route: str
    banding: Banding | None = None
    confirmation: Confirmation | None = None
    shake: bool | None = None
    permits: Permissions = NOTHING_PERMITTED
    record: ForRecord = field(default_factory=ForRecord)

    @cached_property
    def working_ml_per_g(self) -> Fraction:
        """The mL of working dilution for each gram of bird, exact."""
        return self.label.neat_ml_per_kg * self.dilution.factor / 1000

    @cached_property
    def figures(self) -> str:
        """A digest of all that a confirmation vouches for; comments and key order do not count."""
        canonical = json.dumps(_figures(self), sort_keys=True, ensure_ascii=True)
        return hashlib.sha256(canonical.encode("ascii")).hexdigest()

    @cached_property
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
    def is_shaken(self) -> bool:
        """Whether it is shaken before each draw: a suspension, unless the file says otherwise."""
        return self.form is Form.SUSPENSION if self.shake is None else self.shake

    def due_from(self, given: date) -> date:
        """The first day of the next dose after one on this day; the day after it at least."""
        return given + timedelta(days=self.interval.earliest_days if self.interval else 1)

    def diluted(self, dilution: Dilution) -> Medicine:
        """The medicine in another dilution that its file allows; raises ValueError for any other.

        Who confirmed the file confirmed that as well.
        """
        if dilution not in self.permits.weaker:
            raise ValueError(f"The file of {self.name} does not allow {dilution.short}.")
        other = replace(self, dilution=dilution, permits=replace(self.permits, weaker=()))
        if not self.is_confirmed or self.confirmation is None:
            return other
        return replace(other, confirmation=replace(self.confirmation, figures=other.figures))

    def may_join(self, other: Medicine) -> bool:
        """Whether either file allows both medicines for one bird on the same day."""
        own, others = map(_folded, (self, other))
        return other.key in own or self.key in others

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

    The keys are told in assistant/dosing/medicine_table.py.
    """
    source = Table(table, place)
    source.allow_only(parts.KEYS)
    route = parts.read_route(source)
    name = source.text("name", needed=True)
    spoken = source.texts("spoken")
    active = source.text("active", needed=True)
    storage = source.text("storage")
    strength = source.amount("strength", Kind.CONCENTRATION)
    strength_mg_per_ml = strength[1] if strength else None
    label = parts.read_label(source, strength_mg_per_ml)
    dilution = parts.read_dilution(source)
    safety_multiple = parts.read_safety_multiple(source)
    form = parts.read_form(source)
    shelf_life_days = source.number("keeps_days")
    interval, cautions = parts.read_interval(source), parts.read_cautions(source)
    origin = source.text("source", needed=True)
    fictional = source.flag("fictional")
    banding = parts.read_banding(source)
    confirmation = parts.read_confirmation(source)
    shake, permits = parts.read_shake(source), parts.read_permissions(source, dilution)
    record = read_for_record(source)
    source.finish()
    return Medicine(
        key=fold(present(name)),
        name=present(name),
        spoken=spoken or (present(name),),
        active=present(active),
        strength_mg_per_ml=strength_mg_per_ml,
        label=present(label),
        dilution=present(dilution),
        safety_multiple=safety_multiple,
        form=present(form),
        storage=storage or "",
        shelf_life_days=shelf_life_days,
        interval=interval,
        cautions=cautions,
        source=present(origin),
        fictional=fictional,
        route=present(route),
        banding=banding,
        confirmation=confirmation,
        shake=shake,
        permits=permits,
        record=record,
    )


def _folded(medicine: Medicine) -> frozenset[str]:
    return frozenset(map(fold, medicine.permits.same_day_as))


def _figures(medicine: Medicine) -> Mapping[str, object]:
    """What a confirmation vouches for, in plain values; an amount is the same in every spelling."""
    label, dilution, interval, banding = (
        medicine.label,
        medicine.dilution,
        medicine.interval,
        medicine.banding,
    )
    return {
        "name": medicine.name,
        "active": medicine.active,
        "strength": _plain(medicine.strength_mg_per_ml),
        "label": [label.said, str(label.neat_ml_per_kg), label.is_maximum],
        "dilution": [_plain(dilution.product), _plain(dilution.water)],
        "safety_multiple": _plain(medicine.safety_multiple),
        "form": str(medicine.form),
        "storage": medicine.storage,
        "shelf_life_days": _plain(medicine.shelf_life_days),
        "interval": interval and _window(interval),
        "cautions": [[one.applies_to, one.text, one.refuses] for one in medicine.cautions],
        "source": medicine.source,
        "fictional": medicine.fictional,
        "banding": banding and [_plain(banding.step_g), _plain(banding.cap_percent)],
        **_stated(medicine),
    }


def _window(interval: Interval) -> list[int]:
    # a figure that the label does not give adds nothing, so that older confirmations stand
    course = [] if interval.course_doses is None else [interval.course_doses]
    return [interval.earliest_days, interval.latest_days, *course]


def _stated(medicine: Medicine) -> Mapping[str, object]:
    """What only some files state: what is left out changes no older confirmation."""
    stated: dict[str, object] = {}
    if medicine.shake is not None:
        stated["shake"] = medicine.shake
    if medicine.permits != NOTHING_PERMITTED:
        weaker = [[_plain(one.product), _plain(one.water)] for one in medicine.permits.weaker]
        young, others = medicine.permits.young, list(medicine.permits.same_day_as)
        stated["permits"] = [young, others, weaker] if weaker else [young, others]
    return {**stated, **medicine.record.figures}


def _plain(value: Decimal | Fraction | None) -> str | None:
    return None if value is None else str(Fraction(value))
