"""An answer that was cut short before what matters in it was out.

Whoever stopped it has not heard the dose, or the question.  So "given" and "yes" do not count for
it: they get all of it said first.  What is typed counts, since it is on the screen as a whole.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.entries import DoseEntry
from assistant.conversation.moment import Moment, Step
from assistant.conversation.sentences import ml
from assistant.conversation.speech import sentences
from assistant.conversation.state import Question, State
from assistant.conversation.turn import CutShort, Reply, Status, Turn
from assistant.language.heard import Channel, Heard
from assistant.language.requests import Plain, intent_of
from assistant.language.understanding import Understanding

CUT_SHORT = "cut_short"
"""The reason of a turn that says again what was cut."""

STOPPED = "Stopped."
STOPPED_EARLY = "Stopped before the end. Say again to hear all of it."

_RELIES_ON_IT = frozenset({"yes", "given", "part_given"})


def vital_length(said: str, state: State) -> int:
    """How many characters of a reply must be out before a keeper may act on it; 0 for none.

    That is up to the end of its last question, and of the last sentence with the volume of the open
    dose: the priming names it again where it is due.
    """
    length = said.rfind("?") + 1
    if state.pending is not None:
        volume = ml(state.pending.volume_ml)
        ends = [one.end for one in sentences(said) if volume in said[one.start : one.end]]
        length = max([length, *ends])
    return length


def cut_short(state: State, reply: Reply) -> State:
    """The state once a reply was stopped before what is vital in it was out."""
    about = _about(state, reply)
    if about is None or (state.cut is not None and state.cut.about == about):
        return state
    return replace(state, cut=CutShort(reply, about))


def voiced(state: State, reply: Reply) -> State:
    """The state once all that is vital in a reply was out."""
    if state.cut is None or _about(state, reply) != state.cut.about:
        return state
    return replace(state, cut=None)


def _about(state: State, reply: Reply) -> Question | DoseEntry | None:
    """What a reply puts to the keeper: the open question, or the open dose."""
    if not vital_length(reply.said, state):
        return None
    return state.question or state.pending


def still_cut(state: State) -> CutShort | None:
    """What was cut and still waits for the keeper."""
    cut = state.cut
    return cut if cut is not None and cut.about in (state.question, state.pending) else None


def heard_out_first(state: State, heard: Heard, understood: Understanding) -> Step | None:
    """All of what was cut, in the place of an answer that relies on it; None for anything else."""
    cut = still_cut(state)
    request = understood.requests[0] if understood.requests else None
    if cut is None or heard.channel is not Channel.VOICE or not isinstance(request, Plain):
        return None
    if request.kind not in _RELIES_ON_IT:
        return None
    first = "First hear all of it."
    reply = Reply(f"{first} {cut.reply.said}", f"{first}\n{cut.reply.for_eye}")
    return state, Turn(Status.ASKED, intent_of(request), reply, CUT_SHORT)


def hush(state: State, moment: Moment) -> Step:
    """Say no more; what was being said is known from the state."""
    reply = Reply(STOPPED_EARLY if still_cut(state) else STOPPED)
    return state, Turn(Status.COMMAND, moment.intent, reply)
