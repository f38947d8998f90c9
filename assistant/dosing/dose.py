"""The dose: species, weight and medicine in, a volume or a refusal out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from assistant.dosing import limits
from assistant.dosing.cautions import cautions_for, conditional
from assistant.dosing.condition import Condition
from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import Needle, NeedleState, draw_to
from assistant.dosing.quantities import decimal_text, rounded_text, to_decimal
from assistant.dosing.refusal import Reason, Refusal
from assistant.dosing.species import Species
from assistant.dosing.syringe import Draw, Syringe, choose

__all__ = [
    "Band",
    "Dose",
    "DoseRequest",
    "DoseWarning",
    "Notice",
    "Reason",
    "Refusal",
    "Tools",
    "against_bird",
    "objection",
    "volume_for",
    "with_cautions",
    "work_out",
]


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
class Band:
    """A weight band: its weight, and how far the dose is over (or under) the label's, in %."""

    grams: Decimal
    excess_percent: Decimal


@dataclass(frozen=True, slots=True)
class DoseRequest:
    """A bird to be dosed now: its weight is in grams, without a bag.

    `before_ml` is what it had of other medicines on the same day.
    """

    species: Species
    grams: Decimal
    medicine: Medicine
    needle: Needle
    state: NeedleState
    conditions: tuple[Condition, ...] = ()
    before_ml: Decimal = Decimal(0)


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
    """The dose for one bird, or the first reason against it.

    An odd weight (`Plausibility.ASK`) is no reason here: whoever calls has asked about it.
    """
    refusal = against_bird(request, tools)
    if refusal:
        return refusal
    dose = volume_for(request, tools)
    return dose if isinstance(dose, Refusal) else with_cautions(dose, request)


def against_bird(request: DoseRequest, tools: Tools) -> Refusal | None:
    """What can be refused before any volume is worked out."""
    return (
        limits.unconfirmed(request.medicine)
        or limits.implausible_weight(request.species, request.grams, tools.scale_step_g)
        or limits.young(request.medicine, request.conditions)
        or limits.cautioned(request.medicine, request.species, request.conditions)
        or limits.without_crop(request.species)
        or limits.unknown_needle(request.state)
    )


def volume_for(request: DoseRequest, tools: Tools) -> Dose | Refusal:
    """The dose for a bird of this weight, whatever its species; cautions are not in it yet."""
    refusal = limits.over_crop(_exact_ml(request), request.grams, request.before_ml)
    if refusal:
        return refusal
    band_g = _band_weight(request, tools)
    dose = _measure(request, tools, band_g)
    if band_g is not None and not _keeps_cap(dose, request.medicine):
        dose = _measure(request, tools, None)
    if isinstance(dose, Refusal):
        return dose
    against = objection(dose, request, tools)
    if against:
        return against
    warnings = _warnings(dose, request, tools)
    return replace(dose, warnings=warnings) if warnings else dose


def with_cautions(dose: Dose, request: DoseRequest) -> Dose:
    """The dose with the medicine's cautions for this bird said first, then those that may be."""
    said = [
        DoseWarning(Notice.CAUTION, caution.text)
        for caution in cautions_for(request.medicine, request.species, request.conditions)
    ]
    said += [
        DoseWarning(Notice.CAUTION, f"For {caution.applies_to}: {caution.text}")
        for condition, caution in conditional(request.medicine)
        if condition not in request.conditions
    ]
    return replace(dose, warnings=(*said, *dose.warnings)) if said else dose


def _exact_ml(request: DoseRequest) -> Fraction:
    return request.medicine.working_ml_per_g * Fraction(request.grams)


def _lightest_g(request: DoseRequest, tools: Tools) -> Fraction:
    """The lightest bird for which the scale may have shown this weight."""
    return Fraction(request.grams) - Fraction(tools.scale_step_g) / 2


def objection(dose: Dose, request: DoseRequest, tools: Tools) -> Refusal | None:
    """What speaks against a volume once it is worked out: a second opinion, from the label."""
    # a band's cap already holds its rounding; without a band, rounding is half a graduation
    allowed = Fraction(dose.syringe.graduation_ml) / 2
    if dose.band and request.medicine.banding:
        allowed = dose.exact_ml * Fraction(request.medicine.banding.cap_percent) / 100
    if request.medicine.label.is_maximum:
        allowed = Fraction(0)
    return (
        limits.over_label(dose.volume_ml, request.grams, request.medicine, allowed)
        or limits.over_margin(dose.volume_ml, _lightest_g(request, tools), request.medicine)
        or limits.over_crop(Fraction(dose.volume_ml), request.grams, request.before_ml)
    )


def _band_weight(request: DoseRequest, tools: Tools) -> Decimal | None:
    """The weight of the band to dose as, or None for the bird's own weight.

    Up to the next band, or down to the last where the label's dose is a maximum; never for a bird
    lighter than one band, nor where the band is off by more than its cap or by nothing.
    """
    banding = request.medicine.banding
    if not tools.banding or banding is None or request.grams < banding.step_g:
        return None
    bands, over = divmod(request.grams, banding.step_g)
    if over and not request.medicine.label.is_maximum:
        bands += 1
    band_g = bands * banding.step_g
    off = abs(_percent_over(Fraction(band_g), Fraction(request.grams)))
    return band_g if 0 < off <= Fraction(banding.cap_percent) else None


def _keeps_cap(dose: Dose | Refusal, medicine: Medicine) -> bool:
    """Whether the banded dose, as read on the syringe, is off by no more than the cap."""
    if isinstance(dose, Refusal) or medicine.banding is None:
        return False
    off = abs(_percent_over(Fraction(dose.volume_ml), dose.exact_ml))
    return off <= Fraction(medicine.banding.cap_percent)


def _measure(request: DoseRequest, tools: Tools, band_g: Decimal | None) -> Dose | Refusal:
    """The volume on a syringe, for the band's weight or the bird's own."""
    exact = _exact_ml(request)
    aimed = exact if band_g is None else request.medicine.working_ml_per_g * Fraction(band_g)
    headroom = Fraction(0 if request.state is NeedleState.FULL else request.needle.dead_ml)
    draw = Draw(aimed, headroom, down=request.medicine.label.is_maximum)
    syringe = choose(tools.syringes, draw, tools.current, tools.rounding_limit_percent)
    if syringe is None:
        return _too_big(aimed, request, tools)
    volume = syringe.read(aimed, down=draw.down)
    if not volume:
        return _too_small(aimed, syringe)
    band = None
    if band_g is not None:
        band = Band(band_g, to_decimal(_percent_over(Fraction(volume), exact), 1))
    return Dose(
        exact_ml=exact,
        volume_ml=volume,
        syringe=syringe,
        rounding_percent=to_decimal(_percent_over(Fraction(volume), aimed), 1),
        scale_percent=to_decimal(_scale_percent(request, tools), 1),
        dead_ml=request.needle.dead_ml,
        draw_to_ml=draw_to(volume, request.needle, request.state, syringe),
        band=band,
    )


def _too_big(aimed: Fraction, request: DoseRequest, tools: Tools) -> Refusal:
    largest = max(tools.syringes, key=lambda one: one.capacity_ml, default=None)
    if largest is None:
        return Refusal(Reason.TOO_BIG, "There is no syringe in your kit. Add yours to the kit.")
    needle = "" if request.state is NeedleState.FULL else " and what the needle takes up"
    said = (
        f"{rounded_text(aimed)} mL{needle} is more than your largest, a {largest.name}, can draw."
    )
    return Refusal(Reason.TOO_BIG, f"{said} Add a larger syringe to the kit.")


def _too_small(aimed: Fraction, syringe: Syringe) -> Refusal:
    mark = decimal_text(syringe.graduation_ml)
    said = (
        f"{rounded_text(aimed, 4)} mL cannot be measured on a {syringe.name} marked every "
        f"{mark} mL. It needs a finer syringe."
    )
    return Refusal(Reason.TOO_SMALL, said)


def _percent_over(value: Fraction, basis: Fraction) -> Fraction:
    # one fraction in place of three: this is asked of every bird of a round
    share = value.numerator * basis.denominator - basis.numerator * value.denominator
    return Fraction(100 * share, value.denominator * basis.numerator)


def _scale_percent(request: DoseRequest, tools: Tools) -> Fraction:
    """Half a step of the scale against the weight, in percent."""
    step, in_step = tools.scale_step_g.as_integer_ratio()
    weight, in_weight = request.grams.as_integer_ratio()
    return Fraction(50 * step * in_weight, in_step * weight)


def _warnings(dose: Dose, request: DoseRequest, tools: Tools) -> tuple[DoseWarning, ...]:
    """What to say of the volume; none of it changes it."""
    found = (_error_warning(dose, request, tools), _overfill_warning(dose, request))
    return tuple(filter(None, found))


def _error_warning(dose: Dose, request: DoseRequest, tools: Tools) -> DoseWarning | None:
    """A warning where the syringe alone, or with the scale, is off by more than the limit."""
    limit = Fraction(tools.rounding_limit_percent)
    aimed = Draw(_aimed_ml(dose, request), down=request.medicine.label.is_maximum)
    rounding = aimed.error_percent(dose.syringe)
    side = "less" if dose.rounding_percent < 0 else "more"
    if rounding > limit:
        off = decimal_text(abs(dose.rounding_percent))
        text = f"The nearest mark is {off} % {side} than the exact dose: use a finer syringe."
        return DoseWarning(Notice.ROUNDING, text)
    scale = _scale_percent(request, tools)
    if rounding + scale > limit:
        step, off = decimal_text(tools.scale_step_g), rounded_text(rounding + scale, 1)
        text = f"With a scale of {step} g steps, this dose may be {off} % off."
        return DoseWarning(Notice.SCALE, text)
    return None


def _aimed_ml(dose: Dose, request: DoseRequest) -> Fraction:
    """The volume the syringe was read for: the band's, or the bird's own."""
    if dose.band is None:
        return dose.exact_ml
    return request.medicine.working_ml_per_g * Fraction(dose.band.grams)


def _overfill_warning(dose: Dose, request: DoseRequest) -> DoseWarning | None:
    """A warning where a full needle, filled past the mark again, would pass the safety multiple."""
    multiple = request.medicine.safety_multiple
    overfilled = Fraction(dose.volume_ml) + Fraction(request.needle.dead_ml)
    if multiple is None or overfilled <= dose.exact_ml * Fraction(multiple):
        return None
    text = (
        f"Never fill a full needle past the mark: {rounded_text(overfilled)} mL would be given, "
        "past this medicine's limit."
    )
    return DoseWarning(Notice.OVERFILL, text)
