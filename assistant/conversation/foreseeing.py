"""What will probably be said next, so that a voice can have it ready."""

from __future__ import annotations

from assistant.conversation.cutting import STOPPED
from assistant.conversation.sentences import what
from assistant.conversation.state import State


def foreseen(state: State) -> tuple[str, ...]:
    """Sentences with which the next replies may begin, the likeliest first.

    What was said once is remembered by the voice itself.
    """
    if state.pending is None:
        return (STOPPED,)
    return (f"Given: {what(state.pending)}.", STOPPED)
