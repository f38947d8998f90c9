"""Yes and no to what was asked about a bird: the vet's word, a second medicine, the last one."""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.drafting import advance
from assistant.conversation.emergency import NOTHING_MORE
from assistant.conversation.fitness import (
    ASK_THE_VET,
    NO_TOP_UP,
    condition_answered,
    second_confirmed,
)
from assistant.conversation.moment import Moment, Step, refuse, said
from assistant.conversation.state import Ask, Draft, State
from assistant.dosing.species import Bird

OF_FITNESS = frozenset({Ask.VET, Ask.CONDITION, Ask.SECOND, Ask.SAME_BIRD})
"""The questions that are settled here."""


def settle(state: State, moment: Moment, draft: Draft, *, yes: bool) -> Step:
    """Go on with the draft, or refuse the bird; LookupError where no such question is open."""
    question, free = state.question, replace(state, question=None)
    if question is None or question.ask not in OF_FITNESS:
        raise LookupError("nothing was asked about a bird's fitness")
    if question.ask is Ask.CONDITION:
        after, told = condition_answered(free, draft, yes=yes)
        return advance(after, moment, told)
    if question.ask is Ask.SAME_BIRD:
        return _same_bird(state, moment, draft, yes=yes)
    if question.ask is Ask.VET and not yes:
        return refuse(state, moment, draft, ("vet", ASK_THE_VET))
    if question.ask is Ask.VET:
        return advance(free, moment, replace(draft, settled=draft.settled | {Ask.VET}))
    return _second(state, moment, draft) if yes else _not_both(free, moment, draft)


def _same_bird(state: State, moment: Moment, draft: Draft, *, yes: bool) -> Step:
    """Yes: the bird of the last dose, which counts as done, or is for the vet."""
    if yes and state.last and state.last.dose_id in state.sitting.alarmed:
        return refuse(state, moment, draft, ("emergency", NOTHING_MORE))
    if yes:
        return refuse(state, moment, draft, (Ask.SAME_BIRD.value, NO_TOP_UP))
    fresh = replace(draft, settled=draft.settled | {Ask.SAME_BIRD})
    return advance(replace(state, question=None), moment, fresh)


def _second(state: State, moment: Moment, draft: Draft) -> Step:
    """Yes: both medicines today, or this bird had the other one too."""
    confirmed = second_confirmed(state, moment, draft)
    if isinstance(confirmed, Draft):
        return advance(replace(state, question=None), moment, confirmed)
    return refuse(state, moment, draft, confirmed)


def _not_both(free: State, moment: Moment, draft: Draft) -> Step:
    """No: a named bird gets no second one, and one without a name did not have the first."""
    if isinstance(draft.named[0], Bird):
        return said(free, moment, "Dropped. Say a bird and its weight.")
    return advance(free, moment, replace(draft, settled=draft.settled | {Ask.SECOND}))
