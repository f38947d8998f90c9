"""Whether this bird may be dosed today: how heavy it is, what it is, and what it had before.

lighter than adults or than before ── young, ill, or weighed wrong?
a chick ──────────────────────────── refused, unless the medicine's file allows it
ill ──────────────────────────────── only on the vet's word
breeding, moulting ───────────────── asked once for a cage, where the medicine has a caution
dosed before its day ─────────────── refused
as heavy as one that spat it out ─── that bird again?  It gets no top-up, and after an alarm nothing
another medicine today ───────────── asked, or refused unless a file confirms both
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from fractions import Fraction

from assistant.conversation.emergency import NOTHING_MORE
from assistant.conversation.entries import DoseEnd, DoseEntry
from assistant.conversation.moment import (
    Moment,
    Step,
    ask,
    chosen,
    net_grams,
    off_the_bag,
    refuse,
    species_of,
)
from assistant.conversation.sentences import grams_text, ml, named, same_day, usual_range
from assistant.conversation.state import Ask, Dosed, Draft, Question, Setting, State
from assistant.conversation.tally import why_nobody
from assistant.dosing import limits
from assistant.dosing.cautions import cautions_for, conditional
from assistant.dosing.condition import SAID, Condition
from assistant.dosing.days import day
from assistant.dosing.label import Caution
from assistant.dosing.medicine import Medicine
from assistant.dosing.quantities import to_decimal
from assistant.dosing.species import Bird, Plausibility
from assistant.language.requests import Named

LIGHT = "Say young bird, sick bird, healthy adult, or the right weight."
"""What answers the question about a light bird."""

ALIKE_PERCENT = 5
"""Two weights so close may be of one bird, weighed twice; a choice of this tool."""

NO_TOP_UP = "No top-up: nobody knows how much went in. It counts as a full dose."
ILL = "an ill bird. Has the vet said to dose it? Say yes, or no."
ASK_THE_VET = "Then no dose: ask the vet about this bird first."


def about_age(state: State, moment: Moment, draft: Draft) -> Step | None:
    """A chick is refused before anything is asked about its weight."""
    refusal = limits.young(state.medicine, draft.conditions) if state.medicine else None
    if refusal is None:
        return None
    return refuse(state, moment, draft, (refusal.reason.value, refusal.said))


def about_lightness(state: State, moment: Moment, draft: Draft, net: Decimal) -> Step | None:
    """Ask about a light bird, or about one far heavier than before."""
    one, bagged = draft.named[0], off_the_bag(draft.weights[0], state)
    species, last = species_of(one, moment.setting), last_weighing(one, state)
    told = {Condition.YOUNG, Condition.ILL} & set(draft.conditions)
    compared = limits.far_from_before(net, last.grams) if last and last.grams else None
    beside = [f"usually {usual_range(species)}"] if limits.lighter_than_adults(species, net) else []
    before = f"{grams_text(last.grams)} on {day(last.at)}" if last and last.grams else ""
    if compared is Plausibility.REFUSE:
        beside.append(before)
    if beside and not told and Ask.LIGHT not in draft.settled:
        text = (
            f"{bagged}{named(one)}, {grams_text(net)}, is light: {', and '.join(beside)}. "
            f"Young, ill, or weighed wrong? {LIGHT}"
        )
        return ask(state, moment, Question(Ask.LIGHT, draft), text)
    if compared is Plausibility.ASK and Ask.ODD_WEIGHT not in draft.settled:
        text = (
            f"{bagged}{named(one)}, {grams_text(net)}? It was {before}. "
            "Say yes if the scale shows that, or the right weight."
        )
        return ask(state, moment, Question(Ask.ODD_WEIGHT, draft), text)
    return None


def last_weighing(one: Named, state: State) -> Dosed | None:
    """When a named bird was last dosed with any medicine, and what it weighed."""
    if not isinstance(one, Bird):
        return None
    found = [dosed for (bird, _), dosed in state.dosed.items() if bird == one.name and dosed.grams]
    return max(found, key=lambda dosed: dosed.at, default=None)


def about_this_bird(state: State, moment: Moment, draft: Draft) -> Step | None:
    """What stands between this bird and a dose, once bird, weight and round are settled."""
    return (
        _about_before(state, moment, draft)
        or _about_illness(state, moment, draft)
        or _about_condition(state, moment, draft)
        or _about_cautions(state, moment, draft)
    )


def _about_before(state: State, moment: Moment, draft: Draft) -> Step | None:
    one, medicine = draft.named[0], chosen(state)
    if isinstance(one, Bird) and one.name in state.sitting.alarmed:
        return refuse(state, moment, draft, ("emergency", NOTHING_MORE))
    if repeated := _dosed_before(one, medicine, state, moment.at):
        return refuse(state, moment, draft, ("already_dosed", repeated))
    if not isinstance(one, Bird) and (nobody := why_nobody(state, moment.at)):
        return refuse(state, moment, draft, nobody)
    if last := _maybe_again(state, draft):
        who = f"The last one, {last.species}, {grams_text(last.grams)}"
        how = "is for the vet" if last.dose_id in state.sitting.alarmed else "counts as done"
        text = f"{who}, {how}. Is this that bird again? Say yes, or no."
        return ask(state, moment, Question(Ask.SAME_BIRD, draft), text)
    if Ask.SECOND in draft.settled:
        return None
    for name, dosed in _others_today(one, state, moment):
        other = _medicine(name, moment.setting)
        had = f"{_who(one)} had {ml(dosed.volume_ml)} of {name} today."
        if not isinstance(one, Bird):
            text = f"{had} Did this one have it too? Say yes, or no."
            return ask(state, moment, Question(Ask.SECOND, draft), text)
        if refusal := limits.on_one_day(medicine, other, name):
            text = f"No dose. {had} {refusal.said}"
            return refuse(state, moment, draft, (refusal.reason.value, text))
        text = f"{had} Give {medicine.name} as well? Say yes, or no."
        return ask(state, moment, Question(Ask.SECOND, draft), text)
    return None


def _maybe_again(state: State, draft: Draft) -> DoseEntry | None:
    """The dose before, where this may be its bird and the bird must have no more; else None."""
    one, last = draft.named[0], state.last
    if last is None or last.bird or Ask.SAME_BIRD in draft.settled:
        return None
    in_part = state.last_end in (DoseEnd.PART_GIVEN, DoseEnd.NOT_KNOWN)
    if not in_part and last.dose_id not in state.sitting.alarmed:
        return None
    grams = net_grams(draft.weights[0], state)
    if isinstance(one, Bird) or one.name != last.species or grams is None:
        return None
    return last if abs(grams - last.grams) <= last.grams * ALIKE_PERCENT / 100 else None


def _who(one: Named) -> str:
    return one.name if isinstance(one, Bird) else f"A bird of this species, {one.spoken},"


def _dosed_before(one: Named, medicine: Medicine, state: State, at: datetime) -> str | None:
    """Why this bird must not have the medicine again yet; an unnamed bird cannot be guarded."""
    before = state.dosed.get((one.name, medicine.name)) if isinstance(one, Bird) else None
    if before is None:
        return None
    # days are counted on the calendar of where the keeper is now
    given = before.at.astimezone(at.tzinfo)
    due = medicine.due_from(given.date())
    if at.date() >= due:
        return None
    said = (
        f"No dose. {one.name} had {ml(before.volume_ml)} of {medicine.name} on "
        f"{day(given)}. The next is due from {day(due)}."
    )
    return f"{said} Today is {day(at)} here: is the clock right?" if at < given else said


def _others_today(one: Named, state: State, moment: Moment) -> list[tuple[str, Dosed]]:
    """Other medicines that this bird had today, or an unnamed one of its species."""
    key, kept = one.name, state.dosed if isinstance(one, Bird) else state.unnamed
    now = chosen(state).name
    return [
        (medicine, dosed)
        for (who, medicine), dosed in kept.items()
        if who == key and medicine != now and same_day(dosed.at, moment.at)
    ]


def _medicine(name: str, setting: Setting) -> Medicine | None:
    return next((one for one in setting.medicines if one.name == name), None)


def second_confirmed(state: State, moment: Moment, draft: Draft) -> Draft | tuple[str, str]:
    """The draft after yes to a second medicine, with what is in the crop already; or a refusal."""
    one, medicine = draft.named[0], chosen(state)
    before_ml = Decimal(0)
    for name, dosed in _others_today(one, state, moment):
        other = _medicine(name, moment.setting)
        if refusal := limits.on_one_day(medicine, other, name):
            return refusal.reason.value, f"No dose. {refusal.said}"
        before_ml += dosed.volume_ml if isinstance(one, Bird) else _as_much(other, draft)
    return replace(draft, settled=draft.settled | {Ask.SECOND}, before_ml=before_ml)


def _as_much(other: Medicine | None, draft: Draft) -> Decimal:
    """What a bird without a name will have had of the other medicine: the dose for its weight."""
    grams = draft.weights[0].grams
    if other is None or grams is None:
        return Decimal(0)
    return to_decimal(other.working_ml_per_g * Fraction(grams))


def _about_illness(state: State, moment: Moment, draft: Draft) -> Step | None:
    if Condition.ILL not in draft.conditions or Ask.VET in draft.settled:
        return None
    return ask(state, moment, Question(Ask.VET, draft), f"{named(draft.named[0])}: {ILL}")


def _about_condition(state: State, moment: Moment, draft: Draft) -> Step | None:
    """Breeding or moulting, where the medicine has a caution for it; a single phrase asks nothing.

    First whether any bird of this cage or round is, and only then whether this one is.
    """
    found = open_condition(state, draft)
    if found is None or moment.setting.one_shot:
        return None
    condition, caution = found
    text = f"Caution for {caution.applies_to}: {caution.text} Is any bird here {SAID[condition]}?"
    if condition in state.sitting.present:
        text = f"{named(draft.named[0])}: is this one {SAID[condition]}?"
    return ask(state, moment, Question(Ask.CONDITION, draft), text)


def open_condition(state: State, draft: Draft) -> tuple[Condition, Caution] | None:
    """The first condition with a caution that nobody has told of yet, for this bird."""
    known = {*draft.conditions, *draft.without, *state.sitting.spared}
    return next((one for one in conditional(chosen(state)) if one[0] not in known), None)


def condition_answered(state: State, draft: Draft, *, yes: bool) -> tuple[State, Draft]:
    """State and draft after the answer about a condition, for the cage or for this bird."""
    found = open_condition(state, draft)
    if found is None:
        return state, draft
    condition, sitting = found[0], state.sitting
    if condition in sitting.present:
        if yes:
            return state, replace(draft, conditions=(*draft.conditions, condition))
        return state, replace(draft, without=(*draft.without, condition))
    if yes:
        sitting = replace(sitting, present=sitting.present | {condition})
    else:
        sitting = replace(sitting, spared=sitting.spared | {condition})
    return replace(state, sitting=sitting), draft


def _about_cautions(state: State, moment: Moment, draft: Draft) -> Step | None:
    one, medicine = draft.named[0], chosen(state)
    cautions = cautions_for(medicine, species_of(one, moment.setting), draft.conditions)
    spoken = [caution.text for caution in cautions if not caution.refuses]
    # a single phrase has no next one to say yes in: its answer says the caution instead
    asks = spoken and not moment.setting.one_shot
    if asks and Ask.CAUTION not in draft.settled:
        text = f"Caution for {named(one)}: {' '.join(spoken)} Say yes to go on, or no."
        return ask(state, moment, Question(Ask.CAUTION, draft), text)
    return None
