"""What a label or a vet says about a medicine: the small records that a Medicine is made of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from assistant.dosing.dilution import Dilution


class Form(StrEnum):
    """How the product is made; a suspension is shaken before every draw."""

    SUSPENSION = "suspension"
    SOLUTION = "solution"


@dataclass(frozen=True, slots=True)
class LabelDose:
    """The label's dose: as it says it, and as mL of neat product per kg of bird."""

    said: str
    neat_ml_per_kg: Fraction
    is_maximum: bool = False


@dataclass(frozen=True, slots=True)
class Interval:
    """The window for the next dose, in days after this one, both ends included.

    `course_doses` is how many doses a course has, the first one counted; None: the label is silent.
    """

    earliest_days: int
    latest_days: int
    course_doses: int | None = None


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution for a species or a group: refuses the dose, unless it is only to be said."""

    applies_to: str
    text: str
    refuses: bool = True


@dataclass(frozen=True, slots=True)
class Permissions:
    """What is refused unless the file allows it: young birds, other medicines, other dilutions.

    `same_day_as` names the medicines that one bird may have on the same day.  `weaker` are
    dilutions that label or vet allow beside the medicine's own, for doses too small to measure.
    """

    young: bool = False
    same_day_as: tuple[str, ...] = ()
    weaker: tuple[Dilution, ...] = ()


NOTHING_PERMITTED = Permissions()


@dataclass(frozen=True, slots=True)
class Banding:
    """Permission to dose by weight band: the step in g, and the most a band may exceed, in %."""

    step_g: Decimal
    cap_percent: Decimal = Decimal(15)


@dataclass(frozen=True, slots=True)
class Confirmation:
    """Who confirmed the figures, when, and the digest of the figures they confirmed."""

    by: str
    on: date
    figures: str


class ConfirmationState(StrEnum):
    """Whether a person has confirmed the figures as they now stand."""

    UNCONFIRMED = "unconfirmed"
    CONFIRMED = "confirmed"
    EDITED_SINCE = "edited"
