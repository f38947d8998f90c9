"""What the register must keep: plain records, written once and never changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from assistant.dosing.dose_end import COUNTS_AS_FULL, DoseEnd
from assistant.stock.batch import Batch
from assistant.stock.moves import Move

__all__ = [
    "COUNTS_AS_FULL",
    "CorrectionEntry",
    "DoseEnd",
    "DoseEndEntry",
    "DoseEntry",
    "DroppingsEntry",
    "Entry",
    "ExchangeEntry",
    "NoteEntry",
    "TreatmentEntry",
]


@dataclass(frozen=True, slots=True)
class ExchangeEntry:
    """One exchange: what came in, what was understood, what was answered.

    `request` is the understood request as a JSON object, `confidence` is 0 to 1, and `at` carries
    its offset from UTC.
    """

    at: datetime
    round_id: str
    channel: str
    engine: str
    heard: str
    confidence: float
    status: str
    intent: str | None
    request: str
    reason: str | None
    reply: str


@dataclass(frozen=True, slots=True)
class DoseEntry:
    """A dose that was answered: said aloud, not yet given.

    Volumes are millilitres of the working dilution; `exact_ml` before and `volume_ml` after
    rounding to the syringe.  `grams` is the bird alone, without its bag.
    """

    at: datetime
    round_id: str
    dose_id: str
    species: str
    bird: str | None
    grams: Decimal
    medicine: str
    strength: str
    dilution: str
    volume_ml: Decimal
    exact_ml: Decimal
    syringe: str
    needle: str
    needle_state: str
    band: str | None
    fictional: bool


IN_PLACE_OF = "in place of "
"""How the note on an end begins whose dose takes the place of another one, by its id."""


@dataclass(frozen=True, slots=True)
class DoseEndEntry:
    """The end of a dose, or its scratching: a row of its own, so that nothing is overwritten."""

    at: datetime
    round_id: str
    dose_id: str
    end: DoseEnd
    note: str = ""


@dataclass(frozen=True, slots=True)
class NoteEntry:
    """Anything else worth a row: a round begun, a medicine confirmed, a needle changed."""

    at: datetime
    round_id: str
    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class TreatmentEntry:
    """What a treatment record holds beside the dose, as it was when the dose was said.

    What nobody stated is None.  `strength_mg_per_ml` is of the neat product, which the dose holds
    in `product` parts with `water` parts; `egg_days` and `meat_days` are the withdrawal periods;
    the next dose falls `earliest_days` to `latest_days` after this one, of `course_doses` in all.
    """

    at: datetime
    round_id: str
    dose_id: str
    keeper: str
    holding: str | None
    prescriber: str | None
    reason: str | None
    ring: str | None
    cage: str | None
    sex: str | None
    birds: int
    active: str
    strength_mg_per_ml: Decimal | None
    product: Decimal
    water: Decimal
    label_dose: str
    route: str
    product_batch: str | None
    product_expires: date | None
    egg_days: int | None
    meat_days: int | None
    earliest_days: int | None
    latest_days: int | None
    course_doses: int | None


@dataclass(frozen=True, slots=True)
class CorrectionEntry:
    """A fact about a dose put right afterwards; the row that was wrong stays as it is.

    `fact` is one of `assistant.records.treatment.CORRECTABLE`; `was` and `now` are its values as
    texts, where None is "not stated".
    """

    at: datetime
    round_id: str
    dose_id: str
    fact: str
    was: str | None
    now: str | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class DroppingsEntry:
    """Droppings looked at: whose (a bird, a cage, or "all"), and what was found."""

    at: datetime
    round_id: str
    whose: str
    found: str


Entry = (
    ExchangeEntry
    | DoseEntry
    | DoseEndEntry
    | NoteEntry
    | Batch
    | Move
    | TreatmentEntry
    | CorrectionEntry
    | DroppingsEntry
)
