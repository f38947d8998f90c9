"""A plan in lines for the terminal: what to make up first, then how it was reckoned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final

from assistant.conversation.dose_reply import FICTIONAL
from assistant.dosing.dose import Dose, Refusal
from assistant.dosing.measures import NeedleChange
from assistant.dosing.needle_advice import EYE, advise
from assistant.dosing.quantities import decimal_text, rounded_text
from assistant.dosing.syringe import Fitting
from assistant.planning.doses import PlannedBird, ToAsk
from assistant.planning.measuring import Measured
from assistant.planning.pot_label import keeping, strength_words
from assistant.planning.round_plan import Making, Plan
from assistant.planning.small_doses import SmallDoses, reading_error_percent

MOST_LISTED: Final = 40
"""How many birds are listed in the terminal; the sheet and the CSV have all of them."""

TIGHT: Final = "Check that the needle is tight, each time one is fitted."


def plan_lines(plan: Plan, small: SmallDoses | None = None) -> Iterator[str]:
    """The plan, the first lines being what to do; the indented ones are for the eye only."""
    yield _head(plan)
    yield from _to_make(plan)
    yield from _to_lay_out(plan)
    if plan.medicine.fictional:
        yield FICTIONAL
    yield from _about_small(small, plan)
    yield from _about_needles(plan)
    yield from _reckoning(plan)
    yield from _listed(plan.questions, "Look again, no dose yet")
    yield from _listed(plan.refused, "No dose")
    yield from _doses(plan)


def birds_said(count: int) -> str:
    """A number of birds, such as "1 bird" or "36 birds"."""
    return f"{count:,} bird{'' if count == 1 else 's'}"


def _head(plan: Plan) -> str:
    counts = (
        (len(plan.dosed), "weighed"),
        (len(plan.unweighed), "to be weighed"),
        (len(plan.questions), "to look at again"),
        (len(plan.refused), "without a dose"),
    )
    parts = ", ".join(f"{count:,} {what}" for count, what in counts if count)
    what = f"{plan.medicine.name}, {plan.medicine.dilution.short}"
    return f"{what}: {birds_said(len(plan.birds))}, {parts}."


def _to_make(plan: Plan) -> Iterator[str]:
    making = plan.making
    if making:
        times = "" if making.batches == 1 else f" in each of {making.batches} pots"
        yield f"Make up {_amounts(making)}{times}."
        if making.batches > 1:
            yield "Make up the next pot when the one before is empty or out of date."
    elif plan.need.total_ml:
        total = rounded_text(plan.need.total_ml)
        yield (
            f"{total} mL is needed, but your measures cannot show the product and water for it "
            "within 1 % of the strength. Add a finer syringe or a marked pot to kit.toml."
        )


def _amounts(making: Making) -> str:
    mix = making.mix
    total = decimal_text(mix.total_ml)
    if not mix.water:
        return f"{total} mL of product, undiluted"
    product, water = decimal_text(mix.product_ml), decimal_text(mix.water_ml)
    return f"{total} mL: {product} mL of product and {water} mL of water"


def _to_lay_out(plan: Plan) -> Iterator[str]:
    if not plan.needles:
        return
    names = [f"{one.name} ({count:,})" for one, count in plan.syringes.items()]
    spare = f"{plan.needles:,} and one to spare"
    if plan.wishes.change is not NeedleChange.ROUND:
        spare = f"{plan.needles:,} clean and dry, or washed and dried between {plan.wishes.change}s"
    yield f"Lay out syringes: {', '.join(names)}. Needles, {plan.needle.name}: {spare}."
    yield TIGHT
    slip = [one.name for one in plan.syringes if one.fitting is Fitting.SLIP]
    if slip:
        yield f"{', '.join(slip)}: the needle is only pushed on. One that locks cannot come off."


def _about_small(small: SmallDoses | None, plan: Plan) -> Iterator[str]:
    """What to do about doses that the syringes at hand do not read well, the safest first."""
    if small is None:
        return
    least, most = rounded_text(small.least_ml, 3), rounded_text(small.most_ml, 3)
    volumes = f"{least} mL" if least == most else f"{least} to {most} mL"
    worst = rounded_text(small.worst_percent, 0)
    birds = birds_said(len(small.birds))
    yield f"Small doses: {birds} of {volumes}, which may be up to {worst} % off."
    if small.finer:
        marks = decimal_text(small.finer.graduation_ml)
        yield f"  First a finer syringe: a {small.finer.name}, marked every {marks} mL or finer."
    else:
        yield f"  No common syringe reads {least} mL that well."
    if small.weaker:
        product, water = decimal_text(small.weaker.product), decimal_text(small.weaker.water)
        yield (
            f"  Else a weaker dilution for the whole round, which the file allows and the crops "
            f"hold: {small.weaker.said}. In medicines.toml write dilution = {{ product = {product}"
            f", water = {water} }}, run dosewren confirm, and make up a new pot with its own label."
        )
        yield "  Never two strengths in one round: throw the other pot away first."
    elif not plan.medicine.permits.weaker:
        yield "  A weaker dilution only if label or vet allow it: weaker_dilutions in its file."


def _about_needles(plan: Plan) -> Iterator[str]:
    """The usual needle for species that yours is not usual for; no source, no word."""
    other: dict[str, list[str]] = {}
    for species in {id(one.bird.species): one.bird.species for one in plan.birds}.values():
        advice = advise(species)
        if advice and not advice.fits(plan.needle):
            other.setdefault(advice.said, []).append(species.spoken)
    if other:
        usual = "; ".join(f"{gauge} for {_names(names)}" for gauge, names in sorted(other.items()))
        yield f"Your needle is {plan.needle.gauge} gauge. Usual: {usual}. {EYE}"


def _names(names: list[str]) -> str:
    return ", ".join(sorted(names))


def _reckoning(plan: Plan) -> Iterator[str]:
    making, need = plan.making, plan.need
    if making:
        yield f"  product: {_measured(making.mix.product)}"
        if making.mix.water:
            yield f"  water: {_measured(making.mix.water)}"
        yield f"  strength: {strength_words(plan.medicine, making) or 'as meant'}"
        yield _keeps(plan)
        yield f"  once it is made up: dosewren stock make {_made_as(plan, making)}"
    if not need.total_ml:
        return
    yield f"  doses {_range(plan)}"
    each = rounded_text(plan.needle.dead_ml)
    yield (
        f"  needles keep {rounded_text(need.kept_ml)} mL: {_times(need.primings)} of {each} mL, "
        f"a clean needle for each {plan.wishes.change}"
    )
    if need.unreached_ml:
        left = decimal_text(need.unreached_ml)
        yield f"  left in the pots because no whole dose can be drawn: up to {left} mL"
    spare, percent = rounded_text(need.spare_ml), decimal_text(plan.wishes.spare_percent)
    yield f"  to spare {spare} mL, {percent} %; needed in all {rounded_text(need.total_ml)} mL"


def _made_as(plan: Plan, making: Making) -> str:
    product, water = decimal_text(making.mix.product_ml), decimal_text(making.mix.water_ml)
    return f'--medicine "{plan.medicine.name}" --product {product} --water {water}'


def _measured(amount: Measured) -> str:
    off = amount.error_percent
    return amount.said if off is None else f"{amount.said} (may be {rounded_text(off, 0)} % off)"


def _keeps(plan: Plan) -> str:
    days = plan.medicine.shelf_life_days
    if days is None:
        return "  keeps: the medicine's file does not say, so allow a fresh pot for each day"
    return f"  keeps {keeping(days)}: {plan.medicine.storage or 'the file does not say how'}"


def _range(plan: Plan) -> str:
    upper = decimal_text(plan.need.upper_ml)
    if not plan.unweighed:
        return f"{upper} mL"
    mean = decimal_text(plan.need.mean_ml)
    return (
        f"{upper} mL, with the birds not weighed at the upper end of their usual weight; "
        f"{mean} mL at their average weight"
    )


def _times(count: int) -> str:
    return "1 filling" if count == 1 else f"{count:,} fillings"


def _listed(birds: Sequence[PlannedBird], head: str) -> Iterator[str]:
    """Birds that get no marks, alike ones together, each with the reason."""
    said = Counter((one.bird.said, _why(one)) for one in birds)
    for at, ((bird, why), count) in enumerate(said.items()):
        if at == MOST_LISTED:
            yield f"{head}: and {len(said) - at:,} more; --csv lists all."
            return
        yield f"{head}: {bird}{_of_them(count)}. {why}"


def _why(planned: PlannedBird) -> str:
    match planned.outcome:
        case Refusal(said=said) | ToAsk(said=said):
            return said
    return ""


def _doses(plan: Plan) -> Iterator[str]:
    alike = Counter((one.bird.said, one.bird.grams, one.outcome) for one in plan.dosed)
    if len(alike) > MOST_LISTED:
        doses = f"{len(plan.dosed):,} doses"
        yield f"  {doses}: --sheet FILE.html draws each with its marks, --csv lists it"
        return
    for (said, grams, dose), count in alike.items():
        if isinstance(dose, Dose) and grams is not None:
            yield f"  {said}, {decimal_text(grams)} g{_of_them(count)}: {_marks(dose)}"


def _of_them(count: int) -> str:
    return "" if count == 1 else f" ({count:,} of them)"


def _marks(dose: Dose) -> str:
    volume, fill = decimal_text(dose.volume_ml), decimal_text(dose.draw_to_ml)
    error = rounded_text(reading_error_percent(dose), 0)
    return (
        f"{volume} mL on the {dose.syringe.name} (may be {error} % off); dry needle: fill to "
        f"{fill}, push to {volume}"
    )
