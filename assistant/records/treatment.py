"""One treatment as its record holds it: facts that were stated, and nothing that was not.

A treatment is folded from the rows about one dose: what was said, what the record holds beside it,
the corrections in their order, and every end in its order.  The facts are those that stand; the
history shows what they were.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from assistant.dosing.dose_end import COUNTS_AS_FULL, DoseEnd

CORRECTABLE: Final[Mapping[str, type[str | Decimal]]] = {
    "bird": str,
    "ring": str,
    "cage": str,
    "sex": str,
    "species": str,
    "grams": Decimal,
    "reason": str,
    "product_batch": str,
}
"""The facts that a correction may put right; a volume that was given is what it was."""


@dataclass(frozen=True, slots=True)
class Patient:
    """The bird or birds that were treated.  `grams` is one bird alone."""

    species: str
    grams: Decimal
    bird: str | None = None
    ring: str | None = None
    cage: str | None = None
    sex: str | None = None
    birds: int = 1


@dataclass(frozen=True, slots=True)
class Product:
    """What was given.

    `strength_mg_per_ml` is of the neat product, and `share` how much of the dose is neat product.
    `batch` and `expires` are on the product's own label; `stock_batch` is the pot it came from.
    """

    name: str
    strength: str
    dilution: str
    fictional: bool
    active: str | None = None
    strength_mg_per_ml: Decimal | None = None
    share: Fraction | None = None
    label_dose: str | None = None
    batch: str | None = None
    expires: date | None = None
    stock_batch: str | None = None

    def milligrams(self, volume_ml: Decimal) -> Fraction | None:
        """The mg of active in so many mL of the working dilution; None without a strength."""
        if self.strength_mg_per_ml is None or self.share is None:
            return None
        return Fraction(volume_ml) * self.share * Fraction(self.strength_mg_per_ml)


@dataclass(frozen=True, slots=True)
class Rules:
    """What the label or the vet laid down about the time after a dose; None: not stated."""

    egg_days: int | None = None
    meat_days: int | None = None
    earliest_days: int | None = None
    latest_days: int | None = None
    course_doses: int | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """One line of a dose's history: when, what happened, and why if that was said."""

    at: datetime
    what: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Correction:
    """A fact put right afterwards: its name, what it was and what it is now, as texts."""

    at: datetime
    fact: str
    was: str | None
    now: str | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Ended:
    """One end that was written for a dose; the last one stands."""

    at: datetime
    end: DoseEnd
    note: str = ""


@dataclass(frozen=True, slots=True)
class Treatment:
    """One dose with all that its record asks for; what nobody stated is None.

    `said_at` is when the dose was answered, `volume_ml` what of the working dilution; `keeper` is
    who treated.  `end` is None where nobody said how it ended.
    """

    dose_id: str
    round_id: str
    said_at: datetime
    patient: Patient
    product: Product
    volume_ml: Decimal
    rules: Rules = Rules()
    keeper: str | None = None
    holding: str | None = None
    prescriber: str | None = None
    reason: str | None = None
    route: str | None = None
    end: DoseEnd | None = None
    ended_at: datetime | None = None
    note: str = ""
    history: tuple[Change, ...] = ()

    @property
    def at(self) -> datetime:
        """When it was given, as far as that is known: its end, else when it was said."""
        return self.ended_at if self.counts and self.ended_at else self.said_at

    @property
    def counts(self) -> bool:
        """Whether the bird counts as dosed."""
        return self.end in COUNTS_AS_FULL

    @property
    def milligrams(self) -> Fraction | None:
        """The mg of active that the dose held; None where the label gives no strength."""
        return self.product.milligrams(self.volume_ml)

    @property
    def mg_per_kg(self) -> Fraction | None:
        """The mg of active for each kg of the bird as weighed."""
        held, grams = self.milligrams, self.patient.grams
        return None if held is None or not grams else held * 1000 / Fraction(grams)

    @property
    def no_eggs_until(self) -> date | None:
        """The last day on which eggs are not to be eaten; None where the period is not known."""
        return _last_day(self.at, self.rules.egg_days)

    @property
    def no_meat_until(self) -> date | None:
        """The last day on which meat is not to be eaten; None where the period is not known."""
        return _last_day(self.at, self.rules.meat_days)


def _last_day(given: datetime, days: int | None) -> date | None:
    """The day on which the period runs out, itself not free: it ends at the hour of the dose.

    Regulation (EU) 2019/6, article 4 (34): the minimum period between the last administration and
    the production of foodstuffs.  A period of 0 days bars the day of the dose no further.
    """
    return None if days is None else given.date() + timedelta(days=days)


def folded(
    said: Treatment, corrections: Iterable[Correction] = (), ends: Iterable[Ended] = ()
) -> Treatment:
    """The treatment with its corrections and ends, in the order they were written."""
    treatment = said
    history: list[Change] = []
    for one in corrections:
        treatment = _corrected(treatment, one)
        history.append(Change(one.at, _put_right(one), one.note))
    written = [replace(one, note=_why(one)) for one in ends]
    history += [Change(one.at, one.end.words, one.note) for one in written]
    history.sort(key=lambda change: change.at)
    if not written:
        return replace(treatment, history=tuple(history))
    last = written[-1]
    return replace(
        treatment, end=last.end, ended_at=last.at, note=last.note, history=tuple(history)
    )


def _why(ended: Ended) -> str:
    """The note, where it says more than the end itself."""
    plain = ended.note if " " in ended.note else ended.note.replace("_", " ")
    return "" if plain == ended.end.words else plain


def _corrected(treatment: Treatment, correction: Correction) -> Treatment:
    """The treatment with one fact put right; a fact that is not known here changes nothing."""
    fact, kind = correction.fact, CORRECTABLE.get(correction.fact)
    if kind is None or (correction.now is None and fact in {"species", "grams"}):
        return treatment
    value: Any = None if correction.now is None else kind(correction.now)
    match fact:
        case "reason":
            return replace(treatment, reason=value)
        case "product_batch":
            return replace(treatment, product=replace(treatment.product, batch=value))
    return replace(treatment, patient=replace(treatment.patient, **{fact: value}))


def _put_right(correction: Correction) -> str:
    name = {"grams": "weight", "product_batch": "batch"}.get(correction.fact, correction.fact)
    unit = " g" if correction.fact == "grams" else ""
    was, now = (
        "not stated" if one is None else f"{one}{unit}" for one in (correction.was, correction.now)
    )
    return f"{name} put right: {was} to {now}"
