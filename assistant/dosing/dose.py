"""The dose: species, weight and medicine in, a volume or a refusal out."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import Needle, NeedleState
from assistant.dosing.species import Species
from assistant.dosing.syringe import Syringe


class Reason(StrEnum):
    """Why no dose is said, in one word."""

    UNCONFIRMED = "unconfirmed"
    EDITED = "edited"
    WEIGHT = "weight"
    CAUTION = "caution"
    CROP = "crop"
    NEEDLE = "needle"
    TOO_SMALL = "too_small"
    TOO_BIG = "too_big"
    OVERDOSE = "overdose"
    MARGIN = "margin"


class Notice(StrEnum):
    """What a warning is about, in one word."""

    ROUNDING = "rounding"
    SCALE = "scale"
    OVERFILL = "overfill"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True)
class DoseWarning:
    """Something to say with a dose, in one sentence."""

    kind: Notice
    text: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """No dose, with the reason in a sentence that can be said aloud."""

    reason: Reason
    said: str


@dataclass(frozen=True, slots=True)
class Band:
    """A weight band: its weight, and how far the dose is over (or under) the label's, in %."""

    grams: Decimal
    excess_percent: Decimal


@dataclass(frozen=True, slots=True)
class DoseRequest:
    """A bird to be dosed now: its weight is in grams, without a bag."""

    species: Species
    grams: Decimal
    medicine: Medicine
    needle: Needle
    state: NeedleState


@dataclass(frozen=True, slots=True)
class Tools:
    """What the round has at hand.

    A band is used only if the round turned banding on and the confirmed medicine allows it.
    """

    syringes: tuple[Syringe, ...]
    current: Syringe | None
    rounding_limit_percent: Decimal
    scale_step_g: Decimal
    banding: bool = False


@dataclass(frozen=True, slots=True)
class Dose:
    """A dose of working dilution, in mL.

    `exact_ml` is for the bird's own weight; `volume_ml` is what to give, on a mark of `syringe`.
    `rounding_percent` is the mark against the volume aimed at, signed; `scale_percent` is half a
    step of the scale against the weight; both to one decimal.  `draw_to_ml` is the mark to draw
    to, above `volume_ml` by what the needle (`dead_ml`) will swallow.
    """

    exact_ml: Fraction
    volume_ml: Decimal
    syringe: Syringe
    rounding_percent: Decimal
    scale_percent: Decimal
    dead_ml: Decimal
    draw_to_ml: Decimal
    band: Band | None = None
    warnings: tuple[DoseWarning, ...] = ()


def work_out(request: DoseRequest, tools: Tools) -> Dose | Refusal:
    """The dose for one bird, or the first reason against it."""
    raise NotImplementedError
