"""The limits: each looks at one danger and gives a refusal, or None where there is none.

The limits on a volume start again from the label and the bird, so that a fault in the working out
of a dose meets a second opinion.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from decimal import Decimal
from fractions import Fraction

from assistant.dosing.cautions import cautions_for
from assistant.dosing.condition import Condition
from assistant.dosing.days import day
from assistant.dosing.medicine import ConfirmationState, Medicine
from assistant.dosing.needle import NeedleState
from assistant.dosing.quantities import decimal_text, rounded_text
from assistant.dosing.refusal import Reason, Refusal
from assistant.dosing.species import (
    CROP_FRACTION_SAID,
    CROP_ML_PER_KG,
    Crop,
    Plausibility,
    Species,
    crop_limit_ml,
)

FAR_BELOW_PERCENT = 10
"""A loss since the last weighing from which a bird may be ill (common practice, no source)."""

FAR_ABOVE_PERCENT = 20
"""A gain since the last weighing from which a weight is asked about; a choice of this tool."""

_NOTHING = Decimal(0)
_SAYABLE_DIGITS = 9


def unconfirmed(medicine: Medicine) -> Refusal | None:
    """A medicine whose figures nobody has confirmed as they stand answers nothing."""
    match medicine.confirmation_state:
        case ConfirmationState.UNCONFIRMED:
            said = f"{medicine.name} is not confirmed: nobody has checked its figures yet."
            return Refusal(Reason.UNCONFIRMED, said)
        case ConfirmationState.EDITED_SINCE:
            said = f"The figures of {medicine.name} have changed since they were confirmed."
            return Refusal(Reason.EDITED, f"{said} Confirm them again.")
    return None


def expired(medicine: Medicine, today: date) -> Refusal | None:
    """No dose from a bottle that is past the last day that the medicine's file gives for it."""
    last = medicine.record.product_expires
    if last is None or today <= last:
        return None
    said = f"The bottle of {medicine.name} expired on {day(last)} {last.year}, by your own file."
    return Refusal(Reason.EXPIRED, said)


def implausible_weight(species: Species, grams: Decimal, scale_step_g: Decimal) -> Refusal | None:
    """No dose for an absurd weight, nor for one below a single step of the scale."""
    if species.judge(grams) is Plausibility.REFUSE:
        said = (
            f"{species.spoken}, {_grams(grams)}: that cannot be right. "
            f"Usually {decimal_text(species.low_g)} to {decimal_text(species.high_g)} grams. "
            "Weigh it again."
        )
        return Refusal(Reason.WEIGHT, said)
    if grams < scale_step_g:
        step = decimal_text(scale_step_g)
        said = f"A scale with steps of {step} g cannot weigh {_grams(grams)}. Use a finer scale."
        return Refusal(Reason.WEIGHT, said)
    return None


def lighter_than_adults(species: Species, grams: Decimal) -> bool:
    """Whether a bird is under the adult range of its species: young, ill, or weighed wrong."""
    return grams < species.low_g


def far_from_before(grams: Decimal, before_g: Decimal) -> Plausibility | None:
    """What speaks against a weight beside the last one of the same bird; None where nothing does.

    Far below it is a bird that may be ill: REFUSE, until that is settled.  Far above it may have
    been misheard: ASK.
    """
    if grams <= before_g * (100 - FAR_BELOW_PERCENT) / 100:
        return Plausibility.REFUSE
    if grams >= before_g * (100 + FAR_ABOVE_PERCENT) / 100:
        return Plausibility.ASK
    return None


def young(medicine: Medicine, conditions: Collection[Condition]) -> Refusal | None:
    """Chicks and unweaned birds get nothing that the file does not allow for them."""
    if Condition.YOUNG not in conditions or medicine.permits.young:
        return None
    said = (
        f"No dose. {medicine.name} is not confirmed for chicks and unweaned birds. "
        "Only a vet can direct this."
    )
    return Refusal(Reason.YOUNG, said)


def on_one_day(medicine: Medicine, other: Medicine | None, other_name: str) -> Refusal | None:
    """A second medicine on the same day, unless either file allows both; None: it may."""
    if other is not None and other.is_confirmed and medicine.may_join(other):
        return None
    said = (
        f"No file confirms {other_name} and {medicine.name} for one bird on the same day. "
        "Ask the vet."
    )
    return Refusal(Reason.SECOND_MEDICINE, said)


def cautioned(
    medicine: Medicine, species: Species, conditions: Collection[Condition] = ()
) -> Refusal | None:
    """A caution that refuses leaves the bird to a vet."""
    for caution in cautions_for(medicine, species, conditions):
        if caution.refuses:
            said = f"{medicine.name} has a caution for {caution.applies_to}: {caution.text}"
            return Refusal(Reason.CAUTION, f"{said.rstrip('.')}. Only a vet can direct this.")
    return None


def without_crop(species: Species) -> Refusal | None:
    """A species without a true crop, or of which it is not known, is for a vet to direct."""
    match species.crop:
        case Crop.TRUE:
            return None
        case Crop.NONE:
            what = "this species has no true crop"
        case Crop.UNKNOWN:
            what = "it is not known here whether this species has a true crop"
    return Refusal(Reason.CROP, f"{species.spoken}: {what}. Only a vet can direct this.")


def unknown_needle(state: NeedleState) -> Refusal | None:
    """How to prime cannot be told of a needle in an unknown state."""
    if state is NeedleState.UNKNOWN:
        said = "Is the needle dry, full of this medicine, or rinsed?"
        return Refusal(Reason.NEEDLE, said)
    return None


def over_crop(volume_ml: Fraction, grams: Decimal, before_ml: Decimal = _NOTHING) -> Refusal | None:
    """A dose that fills more than the permitted share of the crop, with what it had before it."""
    limit = crop_limit_ml(grams)
    together = volume_ml + Fraction(before_ml)
    if together <= limit:
        return None
    if before_ml and volume_ml <= limit:
        said = (
            f"With the {_millilitres(Fraction(before_ml))} of today that is too much for the crop "
            f"of a bird of {_grams(grams)}: the limit is {_millilitres(limit)}. Ask the vet."
        )
        return Refusal(Reason.CROP, said)
    share = CROP_FRACTION_SAID
    said = (
        f"{_millilitres(volume_ml)} is too much for the crop of a bird of {_grams(grams)}: the "
        f"limit is {_millilitres(limit)}, {share} of {CROP_ML_PER_KG} mL per kg. The "
        f"{CROP_ML_PER_KG} mL is LafeberVet's estimate; taking {share} is this tool's own caution."
    )
    return Refusal(Reason.CROP, said)


def over_label(
    volume_ml: Decimal, grams: Decimal, medicine: Medicine, allowed_ml: Fraction
) -> Refusal | None:
    """A dose above the label's by more than is allowed for rounding and a permitted band."""
    neat_ml = (Fraction(volume_ml) - allowed_ml) / medicine.dilution.factor
    label_neat_ml = medicine.label.neat_ml_per_kg * Fraction(grams) / 1000
    if neat_ml <= label_neat_ml:
        return None
    label_ml = label_neat_ml * medicine.dilution.factor
    said = (
        f"{_millilitres(Fraction(volume_ml))} is above the label's dose, "
        f"{_millilitres(label_ml)} for {_grams(grams)}."
    )
    return Refusal(Reason.OVERDOSE, said)


def over_margin(volume_ml: Decimal, lightest_g: Fraction, medicine: Medicine) -> Refusal | None:
    """A dose past the safety multiple for the lightest bird that the scale may have shown."""
    multiple = medicine.safety_multiple
    label_ml = medicine.working_ml_per_g * lightest_g
    if multiple is None or Fraction(volume_ml) <= label_ml * Fraction(multiple):
        return None
    said = (
        f"{_millilitres(Fraction(volume_ml))} may pass {decimal_text(multiple)} times the label's "
        f"dose, the limit of {medicine.name}."
    )
    return Refusal(Reason.MARGIN, said)


def _grams(grams: Decimal) -> str:
    if not grams.is_finite() or abs(grams.adjusted()) > _SAYABLE_DIGITS:
        return "that weight"
    text = rounded_text(grams, 1)
    return f"{text} gram{'' if text == '1' else 's'}"


def _millilitres(volume: Fraction) -> str:
    return f"{rounded_text(volume, 3)} mL"
