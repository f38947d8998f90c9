"""A dose asked for outright: a bird, a weight, both, or another one of the same."""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.drafting import advance
from assistant.conversation.emergency import NOTHING_MORE
from assistant.conversation.ending import ask_about_open_dose
from assistant.conversation.entries import DoseEnd, DoseEndEntry
from assistant.conversation.moment import Moment, Step, ask, known_facts, refuse, said, species_of
from assistant.conversation.rounds import refuse_unusual
from assistant.conversation.sentences import either, ml, species_name
from assistant.conversation.state import Ask, Draft, Question, State, drafted
from assistant.conversation.turn import Reply, Status
from assistant.language.requests import DoseWanted, Named, Weight

FIX = "Say the right weight, or wrong bird, or not given."
"""What answers the question about the open dose."""

WEIGHT_CORRECTED = "weight corrected"
NEEDLE_CHANGED = "needle changed"
CONDITION_TOLD = "condition told"
REPLACED = frozenset({WEIGHT_CORRECTED, NEEDLE_CHANGED, CONDITION_TOLD})
"""The notes on the end of a dose that another one takes the place of."""

_NOT_OF_THE_WEIGHT = frozenset({Ask.CAUTION, Ask.VET, Ask.SECOND, Ask.SAME_BIRD})
"""Questions whose answers hold for another weight of the same bird."""


def want_dose(state: State, wanted: DoseWanted, moment: Moment) -> Step:
    """Start a draft from what was said, or ask what a bare weight is for."""
    if wanted.unusual is not None:
        draft = drafted(wanted)
        return refuse_unusual(state, moment, wanted.unusual, known_facts(draft, state))
    if wanted.medicine:
        medicine = moment.setting.lexicon.medicine(wanted.medicine)
        if moment.setting.one_shot:
            state = replace(state, medicine=medicine)
        elif medicine != state.medicine:
            return _other_medicine(state, wanted, moment)
    if wanted.another:
        return _another(state, wanted, moment)
    draft = _with_what_was_told(state, drafted(wanted))
    if wanted.pair and not moment.setting.one_shot and state.open_dose is None:
        return _pair(state, draft, moment)
    bare = not (wanted.named or wanted.spoken or wanted.next_one)
    if bare and not moment.setting.one_shot and (state.pending or state.previous):
        return _correction_or_next(state, draft, moment)
    return advance(state, moment, draft)


def _with_what_was_told(state: State, draft: Draft) -> Draft:
    """The draft, with what was told of its bird before its weight was asked for."""
    asked = state.asked(Ask.NO_WEIGHT)
    before = asked.draft if asked else None
    if before is None or len(draft.named) != 1 or before.named != draft.named:
        return draft
    told = dict.fromkeys((*before.conditions, *draft.conditions))
    return replace(draft, conditions=tuple(told), sex=draft.sex or before.sex)


def _pair(state: State, draft: Draft, moment: Moment) -> Step:
    """Two birds are two doses: one is weighed and asked about, then the other."""
    sitting = replace(state.sitting, paired=True)
    after, turn = advance(replace(state, sitting=sitting), moment, draft)
    reply = Reply(f"A pair is two birds: one at a time. {turn.reply.said}")
    return replace(after, repeatable=reply), replace(turn, reply=reply)


def _other_medicine(state: State, wanted: DoseWanted, moment: Moment) -> Step:
    """A bird with a medicine that is not the round's: the syringe holds another one."""
    now = f"This round is {state.medicine.name}. " if state.medicine else ""
    draft = drafted(wanted)
    text = f"{now}To change it, say switch to {wanted.medicine}."
    return refuse(state, moment, draft, ("other_medicine", text))


def _another(state: State, wanted: DoseWanted, moment: Moment) -> Step:
    """The species of the bird before, never its weight."""
    if state.previous is None:
        return advance(state, moment, Draft(weights=wanted.weights))
    same: Named = species_of(state.previous, moment.setting)
    return advance(state, moment, Draft((same,), same.name, wanted.weights))


def _correction_or_next(state: State, draft: Draft, moment: Moment) -> Step:
    weight = either(one.said for one in draft.weights)
    open_dose = state.open_dose
    about = f"a correction for the {open_dose.species}" if open_dose else "a correction"
    text = f"{weight.capitalize()}: {about}, or the next bird?"
    question = Question(Ask.CORRECTION, draft, behind=state.asked(Ask.OPEN_DOSE))
    return ask(state, moment, question, text)


def fix_weight(state: State, weights: tuple[Weight, ...], moment: Moment) -> Step:
    """Put the weight of the open dose right: the old dose is void, a new one is worked out."""
    entry, bird = state.open_dose, state.previous
    if entry is None or bird is None:
        text = "No dose is open. To correct the last one, say scratch that, then the bird again."
        return said(state, moment, text, "nothing_open")
    told = state.answered or Draft()
    draft = replace(
        told, named=(bird,), spoken=species_name(bird), weights=weights, corrected=True,
        settled=told.settled & _NOT_OF_THE_WEIGHT, unsure=frozenset(), readings=(),
    )  # fmt: skip
    return answer_anew(state, moment, draft, WEIGHT_CORRECTED)


def answer_anew(state: State, moment: Moment, draft: Draft, note: str) -> Step:
    """Void the open dose and go on with a draft that takes its place; LookupError without one."""
    entry = state.open_dose
    if entry is None:
        raise LookupError("there is no open dose to take the place of")
    if entry.dose_id in state.sitting.alarmed:
        return refuse(state, moment, draft, ("emergency", NOTHING_MORE))
    void = DoseEndEntry(moment.at, moment.setting.round_id, entry.dose_id, DoseEnd.SCRATCHED, note)
    voided = replace(state, pending=None, on_paper=False, question=None)
    after, turn = advance(voided, moment, draft)
    if turn.status is not Status.ANSWERED:
        reply = Reply(f"Do not give the {ml(entry.volume_ml)}. {turn.reply.said}")
        after, turn = replace(after, repeatable=reply), replace(turn, reply=reply)
    return after, replace(turn, entries=(void, *turn.entries))


def next_bird(state: State, moment: Moment) -> Step:
    """The word next never means given: an open dose is asked about first."""
    if state.open_dose is not None:
        return ask_about_open_dose(state, moment)
    return ask(
        state, moment, Question(Ask.WHICH_BIRD, Draft()), "Which bird, and what does it weigh?"
    )
