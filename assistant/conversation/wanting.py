"""A dose asked for outright: a bird, a weight, both, or another one of the same."""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.drafting import advance
from assistant.conversation.ending import ask_about_open_dose
from assistant.conversation.entries import DoseEnd, DoseEndEntry
from assistant.conversation.moment import Moment, Step, ask, species_of
from assistant.conversation.rounds import said
from assistant.conversation.sentences import either, species_name
from assistant.conversation.state import Ask, Draft, Question, State
from assistant.language.requests import DoseWanted, Named, Weight


def want_dose(state: State, wanted: DoseWanted, moment: Moment) -> Step:
    """Start a draft from what was said, or ask what a bare weight is for."""
    if wanted.another:
        return _another(state, wanted, moment)
    draft = Draft(wanted.named, wanted.spoken, wanted.weights)
    bare = not wanted.named and not wanted.spoken
    if bare and not moment.setting.one_shot and (state.pending or state.previous):
        return _correction_or_next(state, draft, moment)
    return advance(state, moment, draft)


def _another(state: State, wanted: DoseWanted, moment: Moment) -> Step:
    """The species of the bird before, never its weight."""
    if state.previous is None:
        return advance(state, moment, Draft(weights=wanted.weights))
    same: Named = species_of(state.previous, moment.setting)
    return advance(state, moment, Draft((same,), same.name, wanted.weights))


def _correction_or_next(state: State, draft: Draft, moment: Moment) -> Step:
    weight = either(one.said for one in draft.weights)
    if state.pending is not None:
        about = f"a correction for the {state.pending.species}"
    else:
        about = "a correction"
    text = f"{weight.capitalize()}: {about}, or the next bird?"
    return ask(state, moment, Question(Ask.CORRECTION, draft), text)


def fix_weight(state: State, weight: Weight, moment: Moment) -> Step:
    """Put the weight of the open dose right: the old dose is void, a new one is worked out."""
    entry = state.pending
    if entry is None:
        if state.previous is None or state.last is not None:
            text = "No dose is open, so there is nothing to correct. Say the bird and its weight."
            return said(state, moment, text, "nothing_open")
        return advance(state, moment, Draft((state.previous,), "", (weight,), corrected=True))
    bird = _bird_of(state)
    void = DoseEndEntry(
        moment.at, moment.setting.round_id, entry.dose_id, DoseEnd.SCRATCHED, "weight corrected"
    )
    draft = Draft((bird,), species_name(bird), (weight,), corrected=True)
    after, turn = advance(replace(state, pending=None, question=None), moment, draft)
    return after, replace(turn, entries=(void, *turn.entries))


def _bird_of(state: State) -> Named:
    if state.previous is None:
        raise LookupError("a dose is open, but no bird was named")
    return state.previous


def next_bird(state: State, moment: Moment) -> Step:
    """The word next never means given: an open dose is asked about first."""
    if state.pending is not None:
        return ask_about_open_dose(state, moment)
    return ask(
        state, moment, Question(Ask.WHICH_BIRD, Draft()), "Which bird, and what does it weigh?"
    )
