"""What to do with words that are in doubt: ask the shortest question, or ignore them."""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.conversation.breath import CAGE_FIRST
from assistant.conversation.doubting import SURE_ENOUGH, ask_back, changes_nothing, in_doubt
from assistant.conversation.drafting import advance
from assistant.conversation.meant import meant, request_text
from assistant.conversation.moment import Moment, Step, ask, refuse, said
from assistant.conversation.sentences import either, grams_text, named, rival_weights
from assistant.conversation.state import BOTH, Ask, Draft, Question, State, drafted
from assistant.conversation.turn import Reply, Status, Turn
from assistant.conversation.unfollowed import ask_of, can_ask, kept_in_mind
from assistant.language.heard import Heard
from assistant.language.lexicon import speaks_of_ring
from assistant.language.numerals import is_number_word
from assistant.language.requests import EMERGENCIES, DoseWanted, Intent, Plain, Request, intent_of
from assistant.language.understanding import Doubt, Understanding

_ALARMS = frozenset(map(Plain, EMERGENCIES))
"""To ask whether a bird chokes would cost more than to say for nothing what to do."""

_UNKNOWN_CAGE = (
    "I do not know that cage. Say cage and its number. A cage with a name is known by the birds in "
    "it: write it beside one of yours."
)
_COMMA = re.compile(r"[0-9]+,[0-9]+")
_POINT = "Write a point and the unit, as in 95.5 grams."
_UNITS = "Say the weight in grams, kilos, ounces or pounds."
EXAMPLE = "Say a bird and its weight, such as cockatiel ninety five grams, or say help."


def wonder(state: State, heard: Heard, understood: Understanding, moment: Moment) -> Step | None:
    """The question or the silence that a doubtful utterance gets; None where there is no doubt."""
    if understood.doubt is not None:
        after, about = kept_in_mind(state, heard, understood, moment)
        if about is not None and can_ask(state, understood):
            text = f"I did not understand {_quoted(understood.words)}."
            return ask_of(about, after, replace(moment, intent=None), text)
        return _in_doubt(after, understood, moment)
    if len(understood.requests) > 1:
        return _several(state, understood.requests, moment, sure=not in_doubt(heard))
    request = understood.requests[0]
    likely_alarm = request in _ALARMS and heard.confidence >= SURE_ENOUGH
    if in_doubt(heard) and not changes_nothing(request) and not likely_alarm:
        return ask_back(state, heard, request, moment)
    return None


def _in_doubt(state: State, understood: Understanding, moment: Moment) -> Step:
    request = understood.requests[0] if understood.requests else None
    moment = replace(moment, intent=intent_of(request) if request else None)
    words = _quoted(understood.words)
    match understood.doubt:
        case Doubt.EMPTY:
            return _ignore(state, "empty", f"No words were made out. {EXAMPLE}")
        case Doubt.TOO_LONG:
            return _ignore(state, "too_long", f"That was too long to be sure of. {EXAMPLE}")
        case Doubt.NOT_UNDERSTOOD:
            return _ignore(state, "not_understood", f"I did not understand {words}. {EXAMPLE}")
        case Doubt.UNKNOWN_CAGE:
            number, *more = understood.words
            text = CAGE_FIRST if more and is_number_word(number) else _UNKNOWN_CAGE
            return said(state, moment, text, "which_cage")
        case Doubt.NEGATIVE:
            text = f"{words} is below zero, and a weight cannot be. Weigh it again."
            return _dose_again(state, understood, moment, text)
        case Doubt.TWO_BIRDS:
            text = f"One bird at a time: {either(understood.words)}? Say one, with its weight."
            draft = Draft(weights=request.weights) if isinstance(request, DoseWanted) else None
            return refuse(state, replace(moment, intent=Intent.DOSE), draft, ("two_birds", text))
        case Doubt.NEAR_NAME:
            return _near_name(state, understood, moment)
        case Doubt.NEAR_WORD if request:
            text = f"I do not know {words}. Did you mean"
            return meant(state, request, moment, text)
    return _stranger(state, understood, moment)


def _quoted(words: tuple[str, ...]) -> str:
    text = " ".join(words)
    shown = text if len(text) <= 60 else f"{text[:60]}…"  # noqa: PLR2004 - as much as fits a line
    return f"“{shown}”"


def _ignore(state: State, reason: str, text: str) -> Step:
    return state, Turn(Status.IGNORED, None, Reply(text), reason)


def _near_name(state: State, understood: Understanding, moment: Moment) -> Step:
    doses = [one for one in understood.requests if isinstance(one, DoseWanted)]
    birds = tuple(dict.fromkeys(one for dose in doses for one in dose.named))
    asked = state.asked(Ask.WHICH_BIRD) or state.asked(Ask.OPEN_DOSE)
    waiting = asked.draft if asked else None
    offered = [one for one in birds if waiting and one in waiting.named]
    if waiting and len(offered) == 1 and not any(dose.weights for dose in doses):
        # half a name is enough to choose by, and the answer reads it back
        fresh = replace(waiting, named=(offered[0],))
        left = state if state.asked(Ask.OPEN_DOSE) else replace(state, question=None)
        return advance(left, moment, fresh)
    draft = replace(drafted(doses[0] if doses else DoseWanted()), named=birds)
    draft = replace(draft, spoken=" ".join(understood.words))
    text = f"I do not know {_quoted(understood.words)}. Did you mean {either(map(named, birds))}?"
    if len(birds) == 1:
        return meant(
            state, doses[0], moment, f"I do not know {_quoted(understood.words)}. Did you mean"
        )
    state, turn = ask(state, moment, Question(Ask.WHICH_BIRD, draft), text)
    return state, replace(turn, reason=Doubt.NEAR_NAME.value)


def _stranger(state: State, understood: Understanding, moment: Moment) -> Step:
    """A word that is not known, or words that do not fit together, around a bird or a weight."""
    wanted = understood.requests[0] if understood.requests else None
    words = _quoted(understood.words)
    if understood.doubt is Doubt.UNKNOWN_UNIT:
        known = moment.setting.lexicon.vocabulary.issuperset(understood.words)
        start = f"{words} is not a unit of weight." if known else f"I do not know {words} here."
        return _dose_again(state, understood, moment, f"{start} {_UNITS}")
    if any(map(_COMMA.fullmatch, understood.words)):
        return _dose_again(state, understood, moment, f"{words} has a comma. {_POINT}")
    if not isinstance(wanted, DoseWanted) or not wanted.named:
        return _dose_again(state, understood, moment, _no_bird(understood, wanted))
    if moment.setting.lexicon.colours.issuperset(understood.words):
        text = f"{words} can be a part of another species' name. Say the species in full."
        return _dose_again(state, understood, moment, text)
    if understood.doubt is Doubt.NOT_FOLLOWED or len(wanted.weights) != 1:
        start = f"I could not follow {words}."
        if understood.doubt is Doubt.UNKNOWN_WORD:
            start = f"I do not know {words}."
        return _dose_again(state, understood, moment, f"{start} Say one bird and one weight.")
    return meant(state, wanted, moment, f"I do not know {words}. Did you mean just")


def _no_bird(understood: Understanding, wanted: Request | None) -> str:
    letters = tuple(word for word in understood.words if word.isalnum())
    words = _quoted(letters or understood.words)
    start = f"I do not know the bird {words}."
    if understood.doubt is Doubt.NOT_FOLLOWED:
        ring = speaks_of_ring(understood.words)
        start = "I do not know that ring." if ring else f"I could not follow {words}."
    weight = wanted.weights[0].grams if isinstance(wanted, DoseWanted) and wanted.weights else None
    if weight is None:
        return f"{start} Say its species and its weight."
    return f"{start} Which species is the bird of {grams_text(weight)}?"


def _dose_again(state: State, understood: Understanding, moment: Moment, text: str) -> Step:
    """Ask for the dose again, keeping the bird and the weight that were clear."""
    wanted = understood.requests[0] if understood.requests else DoseWanted()
    draft = Draft()
    if isinstance(wanted, DoseWanted):
        draft = drafted(wanted)
    about = Ask.NO_WEIGHT if draft.named else Ask.WHICH_BIRD
    after, turn = ask(state, moment, Question(about, draft), text)
    return after, replace(turn, reason=understood.doubt.value if understood.doubt else None)


def _several(state: State, requests: tuple[Request, ...], moment: Moment, *, sure: bool) -> Step:
    moment = replace(moment, intent=intent_of(requests[0]))
    doses = [one for one in requests if isinstance(one, DoseWanted)]
    same_bird = len({(one.named, one.another) for one in doses}) == 1
    if len(doses) < len(requests) or not same_bird or not any(one.weights for one in doses):
        ways = either(map(request_text, requests))
        text = f"That can be taken in two ways: {ways}? Say it again."
        return ask(state, moment, Question(Ask.WHICH_READING, options=requests), text)
    named_birds = doses[0].named
    if doses[0].another and state.previous:
        named_birds = (state.previous,)
    weights = tuple(weight for one in doses for weight in one.weights)
    unsure = frozenset() if sure else BOTH
    draft = replace(drafted(doses[0]), named=named_birds, weights=weights, unsure=unsure)
    bird = f"{either(map(named, named_birds))}: " if named_birds else ""
    text = f"{bird}{rival_weights(weights)}?"
    return ask(state, moment, Question(Ask.WHICH_READING, draft, requests), text)
