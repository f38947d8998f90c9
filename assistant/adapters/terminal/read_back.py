"""A medicine's figures in words that a label can be held against, and doses worked out of them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from assistant.dosing.days import days_text
from assistant.dosing.dose import Dose, DoseRequest, Tools, work_out
from assistant.dosing.for_record import withdrawal_text
from assistant.dosing.kit import Kit
from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import NeedleState
from assistant.dosing.quantities import decimal_text, rounded_text
from assistant.dosing.species import Species
from assistant.planning.pot_label import keeping

_PLACES = 6


def read_back(medicine: Medicine) -> tuple[str, ...]:
    """Every figure of the medicine's file, one a line."""
    invented = ("INVENTED for a demo: never for a real bird.",) if medicine.fictional else ()
    return (
        f"Medicine: {medicine.name}. Said as: {', '.join(medicine.spoken)}.",
        *invented,
        f"Active ingredient: {medicine.active}. {_strength(medicine)}",
        _label(medicine),
        _dilution(medicine),
        _multiple(medicine),
        f"Form: {medicine.form}{_shaken(medicine)}. By mouth or into the crop, in no other way.",
        _stock(medicine),
        _next_dose(medicine),
        withdrawal_text(medicine.record),
        *_cautions(medicine),
        *_permissions(medicine),
        _banding(medicine),
        f"Where the figures come from: {medicine.source}",
    )


def worked_example(medicine: Medicine, weight_g: Decimal) -> tuple[str, ...]:
    """The dose for a bird of so many grams, step by step, before any rounding."""
    rate = medicine.label.neat_ml_per_kg
    neat = rate * Fraction(weight_g) / 1000
    kilos = decimal_text(weight_g / 1000)
    lines = [
        f"A bird of {decimal_text(weight_g)} g:",
        f"  {_number(rate)} mL of undiluted product per kg × {kilos} kg = {_number(neat)} mL",
    ]
    if medicine.strength_mg_per_ml is not None:
        milligrams = _number(neat * medicine.strength_mg_per_ml)
        lines.append(f"  which holds {milligrams} mg of active ingredient")
    if medicine.dilution.water:
        factor, whole = medicine.dilution.factor, medicine.working_ml_per_g * Fraction(weight_g)
        lines.append(
            f"  diluted {medicine.dilution.short}: {_number(neat)} × {_number(factor)} = "
            f"{_number(whole)} mL of the dilution"
        )
    return tuple(lines)


def example_answer(kit: Kit, medicine: Medicine, species: Species, weight_g: Decimal) -> str:
    """What would be answered for this bird, with a dry needle and the keeper's syringes.

    The medicine has to be taken as confirmed by whoever asks.
    """
    request = DoseRequest(species, weight_g, medicine, kit.default_needle, NeedleState.DRY)
    tools = Tools(kit.syringes, None, kit.rounding_limit_percent, kit.scale_step_g)
    answer = work_out(request, tools)
    if not isinstance(answer, Dose):
        return f"  This bird would get no dose: {answer.said}"
    said = " ".join(warning.text for warning in answer.warnings)
    return (
        f"  on your {answer.syringe.name}: {decimal_text(answer.volume_ml)} mL "
        f"({decimal_text(answer.rounding_percent)} % by rounding). {said}"
    ).rstrip()


def _number(value: Fraction) -> str:
    """Exact where that is short, else marked as rounded."""
    text = rounded_text(value, _PLACES)
    return text if Fraction(text) == value else f"about {text}"


def _strength(medicine: Medicine) -> str:
    if medicine.strength_mg_per_ml is None:
        return "No strength is given."
    return f"Strength: {_number(medicine.strength_mg_per_ml)} mg in each mL of undiluted product."


def _label(medicine: Medicine) -> str:
    label = medicine.label
    most = " This is a maximum." if label.is_maximum else ""
    return (
        f"The label's dose: {label.said}, that is {_number(label.neat_ml_per_kg)} mL of undiluted "
        f"product for each kg of bird.{most}"
    )


def _dilution(medicine: Medicine) -> str:
    dilution = medicine.dilution
    if not dilution.water:
        return "Given undiluted, as it comes from the bottle."
    product, water = dilution.product_for(Decimal(10)), dilution.water_for(Decimal(10))
    return (
        f"Dilution: {dilution.said}. For 10 mL: {_number(product)} mL of product and "
        f"{_number(water)} mL of water."
    )


def _multiple(medicine: Medicine) -> str:
    if medicine.safety_multiple is None:
        return "The label does not say where harm begins."
    return f"Harm begins at {decimal_text(medicine.safety_multiple)} times the label's dose."


def _stock(medicine: Medicine) -> str:
    days = medicine.shelf_life_days
    keeps = "for no stated time" if days is None else f"for {keeping(days)}"
    return f"Made-up stock keeps {keeps}. Storage: {medicine.storage or 'not stated'}."


def _next_dose(medicine: Medicine) -> str:
    window = medicine.interval
    if window is None:
        return "Next dose: not stated."
    course = f" A course is {window.course_doses} doses." if window.course_doses else ""
    if window.course_doses == 1:
        course = " A course is one dose."
    if window.earliest_days == window.latest_days:
        return f"Next dose: after {days_text(window.earliest_days)}.{course}"
    return f"Next dose: after {window.earliest_days} to {window.latest_days} days.{course}"


def _cautions(medicine: Medicine) -> tuple[str, ...]:
    if not medicine.cautions:
        return ("Cautions: none for any species or group.",)
    return tuple(
        f"Caution for {one.applies_to}: {one.text} "
        f"({'no dose is said' if one.refuses else 'said with the dose'})"
        for one in medicine.cautions
    )


def _shaken(medicine: Medicine) -> str:
    return ", shaken before each draw" if medicine.is_shaken else ", not shaken"


def _permissions(medicine: Medicine) -> tuple[str, ...]:
    permits = medicine.permits
    others = ", ".join(permits.same_day_as) or "none"
    weaker = ", ".join(one.said for one in permits.weaker) or "none"
    return (
        f"For chicks and unweaned birds: {'allowed' if permits.young else 'refused'}.",
        f"Other medicines for one bird on the same day: {others}.",
        f"Weaker dilutions that are allowed: {weaker}.",
    )


def _banding(medicine: Medicine) -> str:
    banding = medicine.banding
    if banding is None:
        return "Doses by weight band: not allowed."
    return (
        f"Doses by weight band: allowed, in steps of {decimal_text(banding.step_g)} g, up to "
        f"{decimal_text(banding.cap_percent)} % off the label's dose."
    )
