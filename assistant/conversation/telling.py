"""What a keeper tells of the bird at hand: young, ill, breeding, dead, its crop full or sour."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from assistant.conversation.drafting import advance
from assistant.conversation.ending import ask_about_open_dose, end_dose
from assistant.conversation.moment import Moment, Step, noted, refuse, said
from assistant.conversation.sentences import bird_name, grams_text, named, what
from assistant.conversation.state import Ask, Draft, State
from assistant.conversation.turn import Reply
from assistant.conversation.wanting import CONDITION_TOLD, answer_anew
from assistant.dosing.condition import Condition

CROPS: Mapping[str, str] = {
    "crop_full": "No dose into a full crop. Come back to this bird when its crop is empty.",
    "crop_sour": "No dose. A sour crop, or one that does not empty, is for the vet.",
}
"""What is said of a crop that is not empty; common practice, no source."""

ADULT = "adult"
DIED = "Written: a bird died. Tell the vet."


def tell(state: State, moment: Moment, kind: str) -> Step:
    """A condition of the bird that is asked about, or of the one whose dose is open."""
    question = state.question
    if question is not None and question.ask is Ask.OPEN_DOSE and state.pending is not None:
        return ask_about_open_dose(state, moment)
    if question is not None and question.draft is not None and question.draft.named:
        fresh = replace(state, question=None)
        return advance(fresh, moment, _told(question.draft, kind))
    if state.open_dose is None or state.answered is None or kind == ADULT:
        return said(state, moment, "Say the bird and its weight first.", "nothing_asked")
    draft = replace(_told(state.answered, kind), corrected=True)
    return answer_anew(state, moment, draft, CONDITION_TOLD)


def _told(draft: Draft, kind: str) -> Draft:
    if kind == ADULT:
        return replace(draft, settled=draft.settled | {Ask.LIGHT, Ask.ODD_WEIGHT})
    conditions = dict.fromkeys((*draft.conditions, Condition(kind)))
    return replace(draft, conditions=tuple(conditions))


def crop(state: State, moment: Moment, kind: str) -> Step:
    """A crop that is not empty: nothing is given, and a sour one is left to the vet."""
    if state.pending is not None:
        sour = kind == "crop_sour" and state.pending.bird
        after = _left_to_vet(state, state.pending.bird) if sour else state
        return end_dose(after, moment, kind)
    draft = state.question.draft if state.question else None
    one = draft.named[0] if draft and len(draft.named) == 1 else None
    if draft is None or one is None:
        return noted(said(state, moment, CROPS[kind]), moment, kind, "")
    after = _left_to_vet(state, bird_name(one)) if kind == "crop_sour" else state
    weights = [grams_text(weight.grams) for weight in draft.weights if weight.grams is not None]
    about = ", ".join([named(one), *weights])
    return noted(refuse(after, moment, draft, (kind, CROPS[kind])), moment, kind, about)


def _left_to_vet(state: State, bird: str | None) -> State:
    alarmed = state.sitting.alarmed | set(filter(None, [bird]))
    return replace(state, sitting=replace(state.sitting, alarmed=alarmed))


def died(state: State, moment: Moment) -> Step:
    """A bird died: a note of it, and what became of its dose is asked where that is open."""
    entry = state.pending or state.last
    about = f"{entry.dose_id}, {what(entry)}" if entry else ""
    if state.open_dose is None:
        return noted(said(state, moment, DIED), moment, "died", about)
    after, turn = ask_about_open_dose(state, moment)
    reply = Reply(f"{DIED} {turn.reply.said}")
    step = replace(after, repeatable=reply), replace(turn, reply=reply)
    return noted(step, moment, "died", about)


TOLD: Mapping[str, Callable[[State, Moment], Step]] = {
    **{kind: partial(tell, kind=kind) for kind in (*Condition, ADULT)},
    **{kind: partial(crop, kind=kind) for kind in CROPS},
    "died": died,
}
"""What each request that tells of a bird leads to."""
