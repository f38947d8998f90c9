"""The dose itself: worked out, said, and put down for the register."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from assistant.conversation.dose_reply import Answer, dose_reply
from assistant.conversation.entries import DoseEntry, TreatmentEntry
from assistant.conversation.moment import Moment, Step, chosen, net_grams, refuse, species_of
from assistant.conversation.sentences import bird_name, species_name
from assistant.conversation.sitting import Sitting
from assistant.conversation.state import Draft, State
from assistant.conversation.turn import Facts, Status, Turn
from assistant.dosing.condition import Condition
from assistant.dosing.dose import Dose, DoseRequest, Refusal, Tools, work_out
from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import NeedleState
from assistant.dosing.quantities import decimal_text, to_decimal
from assistant.dosing.reminders import Often, Reminder
from assistant.dosing.species import Bird
from assistant.language.requests import Bag, Named


def answer(state: State, moment: Moment, draft: Draft) -> Step:
    """Work the dose out and say it, or refuse it."""
    one, medicine = draft.named[0], chosen(state)
    grams = net_grams(draft.weights[0], state)
    if grams is None:
        raise LookupError("a dose was worked out before its weight was settled")
    kit = moment.setting.kit
    request = DoseRequest(
        species_of(one, moment.setting),
        grams,
        medicine,
        state.needle,
        state.needle_state,
        draft.conditions,
        draft.before_ml,
    )
    tools = Tools(
        kit.syringes, state.syringe, kit.rounding_limit_percent, kit.scale_step_g, kit.banding
    )
    outcome = work_out(request, tools)
    refitted = isinstance(outcome, Dose) and _goes_onto_another(state, outcome)
    if refitted:
        outcome = work_out(replace(request, state=NeedleState.DRY), tools)
    if isinstance(outcome, Refusal):
        return refuse(state, moment, draft, (outcome.reason.value, outcome.said))
    return _say(state, moment, Answered(draft, one, grams, outcome, refitted=refitted))


def _goes_onto_another(state: State, dose: Dose) -> bool:
    """Whether a full needle has to move to another syringe for this dose."""
    full = state.needle_state is NeedleState.FULL
    return full and state.syringe is not None and dose.syringe != state.syringe


@dataclass(frozen=True, slots=True)
class Answered:
    """A dose that was worked out, with what it was worked out for."""

    draft: Draft
    one: Named
    grams: Decimal
    dose: Dose
    refitted: bool


def _say(state: State, moment: Moment, answered: Answered) -> Step:
    medicine, dose = chosen(state), answered.dose
    one_shot, kit = moment.setting.one_shot, moment.setting.kit
    weight = answered.draft.weights[0]
    reply = dose_reply(
        Answer(
            one=answered.one,
            grams=answered.grams,
            dose=dose,
            medicine=medicine,
            needle=state.needle,
            state=state.needle_state,
            say_medicine=one_shot or state.unsaid == 0,
            say_syringe=dose.syringe != state.syringe,
            corrected=answered.draft.corrected,
            tare_g=None if weight.bag is Bag.WITHOUT else state.tare_g,
            one_shot=one_shot,
            refitted=answered.refitted,
            short=state.manner.short and not one_shot,
            shake=medicine.is_shaken and kit.reminders[Reminder.SHAKE] is Often.BIRD,
        )
    )
    entry = _entry(state, moment, answered)
    kept = (entry, treatment_of(entry, state, moment, answered.one, answered.draft))
    after = replace(
        state,
        question=None,
        pending=entry,
        on_paper=False,
        # until the needle is known to be filled on its new syringe, it counts as dry
        needle_state=NeedleState.DRY if answered.refitted else state.needle_state,
        previous=answered.one,
        answered=answered.draft,
        sitting=_soiled(state.sitting, answered.draft),
        syringe=dose.syringe,
        unsaid=state.unsaid + 1,
        doses=state.doses + 1,
        repeatable=reply,
    )
    facts = Facts(entry.species, entry.bird, answered.grams, medicine.name, dose)
    return after, Turn(Status.ANSWERED, moment.intent, reply, facts=facts, entries=kept)


def _soiled(sitting: Sitting, draft: Draft) -> Sitting:
    """A needle that goes into an ill bird is to be changed after it."""
    ill = Condition.ILL in draft.conditions
    return replace(sitting, foul_needle=True) if ill else sitting


def _entry(state: State, moment: Moment, answered: Answered) -> DoseEntry:
    medicine, dose = chosen(state), answered.dose
    return DoseEntry(
        at=moment.at,
        round_id=moment.setting.round_id,
        dose_id=f"{moment.setting.round_id}-{state.doses + 1}",
        species=species_name(answered.one),
        bird=bird_name(answered.one),
        grams=answered.grams,
        medicine=medicine.name,
        strength=medicine.said_strength,
        dilution=medicine.dilution.said,
        volume_ml=dose.volume_ml,
        exact_ml=to_decimal(dose.exact_ml),
        syringe=dose.syringe.name,
        needle=state.needle.name,
        needle_state=state.needle_state.value,
        band=f"{decimal_text(dose.band.grams)} g" if dose.band else None,
        fictional=medicine.fictional,
    )


def treatment_of(
    dose: DoseEntry, state: State, moment: Moment, one: Named, draft: Draft
) -> TreatmentEntry:
    """What the record of a treatment holds beside the dose, as it stands now."""
    medicine, cage = chosen(state), state.sitting.cage
    record, interval, kit = medicine.record, medicine.interval, moment.setting.kit
    return TreatmentEntry(
        at=dose.at,
        round_id=dose.round_id,
        dose_id=dose.dose_id,
        keeper=kit.keeper,
        holding=kit.holding,
        prescriber=record.prescriber,
        reason=record.reason,
        ring=one.ring if isinstance(one, Bird) else None,
        cage=cage or (one.cage if isinstance(one, Bird) else None),
        sex=draft.sex or (one.sex if isinstance(one, Bird) else None),
        birds=1,
        active=medicine.active,
        strength_mg_per_ml=_strength(medicine),
        product=medicine.dilution.product,
        water=medicine.dilution.water,
        label_dose=medicine.label.said,
        route=medicine.route,
        product_batch=record.product_batch,
        product_expires=record.product_expires,
        egg_days=record.egg_days,
        meat_days=record.meat_days,
        earliest_days=interval.earliest_days if interval else None,
        latest_days=interval.latest_days if interval else None,
        course_doses=interval.course_doses if interval else None,
    )


def _strength(medicine: Medicine) -> Decimal | None:
    strength = medicine.strength_mg_per_ml
    return None if strength is None else to_decimal(strength)
