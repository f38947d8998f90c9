"""Which tone belongs to a turn, where a sound says it sooner than words."""

from __future__ import annotations

from assistant.conversation.doubting import in_doubt
from assistant.conversation.entries import DoseEndEntry
from assistant.conversation.state import State
from assistant.conversation.turn import Cue, Status, Turn
from assistant.conversation.wanting import REPLACED
from assistant.language.heard import Channel, Heard
from assistant.language.understanding import Understanding


def cue_of(state: State, heard: Heard, understood: Understanding, turn: Turn) -> Cue | None:
    """The tone for what became of an utterance in a state.

    Talk that is meant for nobody here gets none: PAUSED and NOT_UNDERSTOOD answer only what was
    surely a request, or came where a question is open.
    """
    if any(isinstance(row, DoseEndEntry) and row.note not in REPLACED for row in turn.entries):
        return Cue.LOGGED
    if turn.status is not Status.IGNORED or heard.channel is not Channel.VOICE:
        return None
    if turn.reason == "not_listening" and understood.requests and not in_doubt(heard):
        return Cue.PAUSED
    if turn.reason == "unlikely" and state.question is not None:
        return Cue.NOT_UNDERSTOOD
    return None
