"""Two things said in one breath: one after the other and both read back, or neither of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from assistant.conversation.moment import Moment, Step
from assistant.conversation.state import Ask, State
from assistant.conversation.turn import Reply, Status, Turn
from assistant.language.breath import is_cage, is_needle
from assistant.language.requests import (
    EMERGENCIES,
    DoseWanted,
    Plain,
    Request,
    TareSaid,
    intent_of,
)
from assistant.language.understanding import Doubt, Understanding

Act = Callable[[State, Request, Moment], Step]
"""How one request is carried out."""

CAGE_FIRST = "One at a time. Say the cage first, by itself. Then say the bird and its weight."
NEEDLE_FIRST = "One at a time. Say the needle first, by itself. Then say the bird and its weight."
BAG_FIRST = (
    "One at a time. Say the bag first, as in bag is twelve. Then say the bird and its weight."
)


def two_things(state: State, understood: Understanding, moment: Moment, act: Act) -> Step:
    """Both requests, where nothing has to be asked between them; else what to say first."""
    first, second = understood.requests
    moment = replace(moment, intent=intent_of(second))
    clear = understood.doubt is Doubt.TWO_THINGS
    if clear and first == Plain("next") and isinstance(second, DoseWanted):
        return act(state, second, moment)  # an open dose is asked about before it
    if clear and _can_begin(state, first, second):
        between, turn = act(_for_another(state, second), first, moment)
        asks = between.question is not None and between.question.ask is not Ask.ROUND
        if turn.status is Status.COMMAND and not asks:
            return _joined(turn, act(between, second, moment), second)
    if _is_alarm(second):
        return act(state, second, moment)
    return _one_at_a_time(state, first, second, moment)


def _can_begin(state: State, first: Request, second: Request) -> bool:
    """Whether the first has what it is about: an open dose for its end, none for another cage."""
    if is_cage(first):
        return state.open_dose is None
    if is_needle(first):
        return state.open_dose is None and state.question is None
    free = _for_another(state, second).question is None
    return free and state.open_dose is not None and first != Plain("next")


def _for_another(state: State, second: Request) -> State:
    """The state without the question about the open dose; another bird may take a place in it."""
    asked = state.asked(Ask.OPEN_DOSE)
    if asked is None or asked.leaving or (asked.draft and not isinstance(second, DoseWanted)):
        return state
    return replace(state, question=None)


def _joined(turn: Turn, then: Step, second: Request) -> Step:
    """Both replies in one, an alarm first, with the rows of both."""
    after, onward = then
    start = f"{turn.reply.said} Next:" if isinstance(second, DoseWanted) else turn.reply.said
    reply = Reply(f"{start} {onward.reply.said}", f"{start}\n{onward.reply.for_eye}")
    if _is_alarm(second):
        reply = Reply(f"{onward.reply.said} {turn.reply.said}")
    entries = (*turn.entries, *onward.entries)
    return replace(after, repeatable=reply), replace(onward, reply=reply, entries=entries)


def _one_at_a_time(state: State, first: Request, second: Request, moment: Moment) -> Step:
    """What to say by itself, and first; what was asked stays asked."""
    if is_cage(first) and state.open_dose is None:
        text = CAGE_FIRST
    elif is_needle(first):
        text = NEEDLE_FIRST
    elif isinstance(first, TareSaid | DoseWanted):
        text = BAG_FIRST
    elif state.open_dose is None and first != Plain("next"):
        text = f"No dose is open. Say {_named(second)} by itself."
    else:
        start = "the cage and " if is_cage(first) else ""
        text = f"One at a time. Say how it went first, then {start}{_named(second)}."
    turn = Turn(Status.ASKED, moment.intent, Reply(text), "one_at_a_time")
    return replace(state, repeatable=turn.reply), turn


def _named(request: Request) -> str:
    """What the second of two things is."""
    if isinstance(request, DoseWanted):
        return "the next bird"
    if isinstance(request, TareSaid):
        return "the bag"
    return "the cage" if is_cage(request) else "the rest"


def _is_alarm(request: Request) -> bool:
    return isinstance(request, Plain) and request.kind in EMERGENCIES
