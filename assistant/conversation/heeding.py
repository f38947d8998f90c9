"""Which spoken utterances get no answer: talk between people, a radio, birds, half a sentence.

A keeper who was not heard says it again; a question about nothing costs a pause with a bird in the
hand, and every needless question makes "yes" come easier.  So in doubt it is silent:

| heard in doubt | from this probability on | below |
|---|---|---|
| an answer to the open question, or the end of the open dose | asked: `WORTH_ASKING` | ignored |
| a bird with its weight | asked: `WORTH_ASKING` | ignored |
| the same, while something else is awaited | asked: `EVEN` | ignored |
| a command that only changes what is said, or how | carried out: `EVEN` | ignored |
| any other command | asked: `EVEN` | ignored |
| a bird alone, a weight alone, words that do not fit together | – | ignored |

Yes and no are ignored, however surely they were heard, where nothing was asked and no dose is open;
so is the end of a dose in doubt where none is open.  Typed words are never ignored for this.
"""

from __future__ import annotations

from assistant.conversation.doubting import in_doubt
from assistant.conversation.ending import ENDS
from assistant.conversation.expecting import expected
from assistant.conversation.moment import Moment
from assistant.conversation.state import State
from assistant.language.expected import CONTROLS, TAGS, Fit, Saying, fit
from assistant.language.heard import WORTH_ASKING, Channel, Heard
from assistant.language.requests import (
    EMERGENCIES,
    DoseWanted,
    Plain,
    Request,
    UnitSaid,
    WeightFixed,
)
from assistant.language.understanding import Understanding

EVEN = 0.5
"""The probability from which a doubtful command is heeded: as likely right as wrong."""

_NEVER = 2.0

_ALARMS = frozenset(map(Plain, EMERGENCIES))

ENDS_OF_A_DOSE = TAGS[Saying.END] | {"scratch"}
"""What is heeded without the attention word while a dose is open, with another weight for it."""


def unheeded(
    state: State, heard: Heard, understood: Understanding, moment: Moment, *, called: bool
) -> str | None:
    """Why an utterance gets no answer; None for one that does.

    `called` is whether it began or ended with the attention word.
    """
    if heard.channel is not Channel.VOICE or not understood.requests:
        return None
    if _tells_emergency(state, heard, understood):
        return None
    answers = all(_answers(state, one, moment) for one in understood.requests)
    needed = moment.setting.kit.attention is not None and not called
    if needed and not (answers and _in_time(state, moment)) and not _ends(state, understood):
        return "not_addressed"
    request = understood.requests[0]
    if _says_nothing(state, heard, request):
        return "nothing_asked"
    if not in_doubt(heard):
        return None
    if understood.doubt is not None or heard.confidence < _least(state, request, answers=answers):
        return "unlikely"
    return None


def _tells_emergency(state: State, heard: Heard, understood: Understanding) -> bool:
    """Whether it tells of an emergency: heeded without the attention word.

    What is in doubt has to be likely, or to be said while a dose is open.
    """
    if any(request not in _ALARMS for request in understood.requests) or understood.doubt:
        return False
    least = WORTH_ASKING if state.open_dose else EVEN
    return not in_doubt(heard) or heard.confidence >= least


def _least(state: State, request: Request, *, answers: bool) -> float:
    """The probability from which a request that is in doubt is heeded; above 1 for never."""
    if answers:
        return WORTH_ASKING
    match request:
        case UnitSaid() | WeightFixed():
            return _NEVER
        case DoseWanted():
            if not (request.weights and (request.named or request.another)):
                return _NEVER
            return EVEN if state.question or state.open_dose else WORTH_ASKING
    return EVEN


def _says_nothing(state: State, heard: Heard, request: Request) -> bool:
    """Whether a request has nothing to be about: a stray yes, or an unsure end of no dose."""
    if not isinstance(request, Plain):
        return False
    if request.kind in ("yes", "no"):
        return state.question is None and (state.open_dose is None or in_doubt(heard))
    return request.kind in ENDS and state.pending is None and in_doubt(heard)


def _answers(state: State, request: Request, moment: Moment) -> bool:
    """Whether a request is an answer to the open question, or tells how the open dose ended."""
    awaited = expected(state, moment.setting)
    if isinstance(request, Plain) and request.kind in CONTROLS:
        return False
    if state.question is not None and isinstance(request, DoseWanted):
        return _is_about(state, request) or fit(request, awaited) is not Fit.OTHER
    return bool(awaited.sayings) and fit(request, awaited) is not Fit.OTHER


def _is_about(state: State, request: DoseWanted) -> bool:
    """Whether a whole request says the bird again that is asked about."""
    draft = state.question.draft if state.question else None
    return draft is not None and bool(set(draft.named) & set(request.named))


def _in_time(state: State, moment: Moment) -> bool:
    """Whether the open question was put so short a time ago that an answer needs no word."""
    asked = state.question is not None
    return asked and (state.answer_by is None or moment.at <= state.answer_by)


def _ends(state: State, understood: Understanding) -> bool:
    """Whether it ends the open dose or puts its weight right, which a keeper says at once."""
    if state.open_dose is None or understood.doubt is not None or len(understood.requests) != 1:
        return False
    request = understood.requests[0]
    if isinstance(request, WeightFixed):
        return True
    return isinstance(request, Plain) and request.kind in ENDS_OF_A_DOSE
