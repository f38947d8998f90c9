"""Doses too small for the syringes at hand: what to do, the safest first.

First a finer syringe.  Only then a weaker dilution, for the whole round, where the medicine's file
allows it and every crop holds the larger volume: never two strengths in one round.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from assistant.dosing.dilution import Dilution
from assistant.dosing.dose import Dose
from assistant.dosing.kit import Kit
from assistant.dosing.medicine import Medicine
from assistant.dosing.refusal import Reason, Refusal
from assistant.dosing.syringe import Draw, Syringe
from assistant.planning.doses import Dosing, PlannedBird, Unweighed
from assistant.planning.round_plan import Plan

_COMMON = tuple(
    (Decimal(capacity), Decimal(graduation))
    for capacity, marks in (
        ("5", ("0.2", "0.1")),
        ("2.5", ("0.1", "0.05")),
        ("1", ("0.05", "0.02", "0.01")),
        ("0.5", ("0.05", "0.02", "0.01")),
        ("0.3", ("0.02", "0.01", "0.005")),
    )
    for graduation in marks
)
"""Syringes that can be had, marked in mL, the largest first: common practice, no source."""


@dataclass(frozen=True, slots=True)
class SmallDoses:
    """The birds whose dose no syringe at hand reads within the limit, and what would help.

    Volumes are exact doses in mL, `worst_percent` the largest error.  `finer` would read the
    ones that it holds, None where no common syringe does; `weaker` would serve the whole round.
    """

    birds: tuple[PlannedBird, ...]
    least_ml: Fraction
    most_ml: Fraction
    worst_percent: Fraction
    finer: Syringe | None
    weaker: Dilution | None


def reading_error_percent(dose: Dose) -> Fraction:
    """How far off a dose may be: the mark from the exact volume, and the syringe by its standard.

    The standard is ISO 7886-1:1993 table 1, from memory: for information, never a limit.
    """
    volume = Fraction(dose.volume_ml)
    rounding = abs(volume - dose.exact_ml) / dose.exact_ml
    return (rounding + Fraction(dose.syringe.tolerance_ml(dose.volume_ml)) / volume) * 100


def small_doses(plan: Plan, kit: Kit) -> SmallDoses | None:
    """The doses of the plan that are too small for the kit, or None where there are none."""
    limit = Fraction(kit.rounding_limit_percent)
    found = [one for one in plan.birds if _is_small(one, limit)]
    if not found:
        return None
    volumes = [_exact_ml(one, plan.medicine) for one in found]
    read = [dose for one in found if (dose := _dose(one.outcome))]
    return SmallDoses(
        birds=tuple(found),
        least_ml=min(volumes),
        most_ml=max(volumes),
        worst_percent=max(map(reading_error_percent, read), default=Fraction(100)),
        finer=_finer(volumes, kit.default_needle.dead_ml, limit),
        weaker=_weaker(plan, kit, limit),
    )


def _dose(outcome: object) -> Dose | None:
    """The dose of a bird; of one not weighed that of its mean weight."""
    match outcome:
        case Dose():
            return outcome
        case Unweighed(mean=mean):
            return mean
    return None


def _is_small(planned: PlannedBird, limit: Fraction) -> bool:
    dose = _dose(planned.outcome)
    return reading_error_percent(dose) > limit if dose else _is_below_the_marks(planned)


def _is_below_the_marks(planned: PlannedBird) -> bool:
    outcome = planned.outcome
    is_refused = isinstance(outcome, Refusal) and outcome.reason is Reason.TOO_SMALL
    return is_refused and planned.bird.grams is not None


def _exact_ml(planned: PlannedBird, medicine: Medicine) -> Fraction:
    dose = _dose(planned.outcome)
    if dose:
        return dose.exact_ml
    return medicine.working_ml_per_g * Fraction(planned.bird.grams or 0)


def _finer(volumes: Sequence[Fraction], dead_ml: Decimal, limit: Fraction) -> Syringe | None:
    """The largest common syringe that reads the smallest dose, and all it holds, within the limit.

    Of two of one size the one with the coarser marks: it is easier to read.
    """
    least = Draw(min(volumes), Fraction(dead_ml))
    for capacity, graduation in _COMMON:
        syringe = Syringe(capacity, graduation)
        held = [one for one in volumes if Draw(one, Fraction(dead_ml)).fits(syringe)]
        if least.fits(syringe) and all(_reads(syringe, one, limit) for one in held):
            return syringe
    return None


def _reads(syringe: Syringe, exact_ml: Fraction, limit: Fraction) -> bool:
    volume = syringe.read(exact_ml)
    if not volume:
        return False
    standard = Fraction(syringe.tolerance_ml(volume)) / Fraction(volume) * 100
    return Draw(exact_ml).error_percent(syringe) + standard <= limit


def _weaker(plan: Plan, kit: Kit, limit: Fraction) -> Dilution | None:
    """The least weak dilution that the file allows and that serves every bird of the round."""
    served = [one.bird for one in plan.birds if _dose(one.outcome) or _is_below_the_marks(one)]
    for dilution in sorted(plan.medicine.permits.weaker, key=lambda one: one.factor):
        dosing = Dosing(plan.medicine.diluted(dilution), kit)
        doses = [dose for bird in served if (dose := _dose(dosing.plan(bird).outcome))]
        well_read = all(reading_error_percent(dose) <= limit for dose in doses)
        if len(doses) == len(served) and well_read:
            return dilution
    return None
