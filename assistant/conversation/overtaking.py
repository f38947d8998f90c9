"""Two channels in one round: words that were begun before the other one changed what they mean.

"Given" is about the dose that is open when it is begun to be said.  Where another terminal, or the
voice, has ended that dose in the meantime, the same word would end the next one: it is not taken,
and what is open now is said instead.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.entries import ExchangeEntry
from assistant.conversation.moment import Step
from assistant.conversation.sentences import what
from assistant.conversation.state import Setting, State
from assistant.conversation.turn import Reply, Status, Turn
from assistant.language.attention import without_attention
from assistant.language.heard import Heard
from assistant.language.requests import EMERGENCIES, DoseWanted, Plain, Request
from assistant.language.understanding import understand

OVERTAKEN = "overtaken"
"""The reason of a turn that was not taken."""

_ALWAYS_THE_SAME = frozenset(
    {
        "help",
        "count",
        "remaining",
        "medicine_which",
        "needle_which",
        "tare_which",
        "repeat",
        "stop",
        "hush",
    }
    | EMERGENCIES
    | {"batch_which", "left", "due", "cage_which"}
)


def referred_to(state: State) -> tuple[object, ...]:
    """What short answers are about: where it has changed, they would mean something else."""
    return (
        *(state.question, state.pending, state.last, state.last_end, state.previous),
        *(state.medicine, state.needle, state.needle_state, state.tare_g, state.sitting.cage),
    )


def stands_alone(heard: Heard, setting: Setting) -> bool:
    """Whether it means the same whatever was said before: a bird with its weight, or a query."""
    words, _ = without_attention(heard.words, setting.kit.attention)
    understood = understand(words, setting.lexicon)
    return not understood.doubt and all(map(_is_whole, understood.requests))


def _is_whole(request: Request) -> bool:
    match request:
        case DoseWanted(named, _, weights):
            return bool(named and weights)
        case Plain(kind):
            return kind in _ALWAYS_THE_SAME
        case _:
            return False


def not_taken(before: State, turn: Turn) -> Step:
    """The state as it was, and instead of the turn what is open now."""
    reply = Reply(f"Not taken: something else was said first. {_open_now(before)}")
    rows = tuple(
        replace(row, status=Status.ASKED.value, reason=OVERTAKEN, reply=reply.said)
        for row in turn.entries
        if isinstance(row, ExchangeEntry)
    )
    return before, Turn(Status.ASKED, turn.intent, reply, OVERTAKEN, entries=rows)


def _open_now(state: State) -> str:
    if state.question and state.repeatable:
        return state.repeatable.said
    if state.open_dose is None:
        return "No dose is open now."
    return f"Open now: {what(state.open_dose)}. Say it again if it still holds."
