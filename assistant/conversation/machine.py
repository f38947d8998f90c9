"""The conversation: one utterance in, a new state and a turn out.  Pure: the time is handed in.

    heard ── understand ──┬── nothing usable, not for us ─── ignored (see `heeding`)
                          ├── in doubt ───────────────────── asked, at most twice (see `doubting`)
                          ├── an answer to the open question ─ settles it and goes on
                          └── a request ─────────────────────  dose, end of a dose, round

`step` never raises for anything that was heard.  `unwritten` is what a turn becomes when the
register could not be written.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from datetime import datetime, timedelta

from assistant.conversation.bag import set_tare
from assistant.conversation.breath import two_things
from assistant.conversation.cages import CAGES, enter_cage
from assistant.conversation.cueing import cue_of
from assistant.conversation.cutting import heard_out_first
from assistant.conversation.emergency import ALARMS
from assistant.conversation.ending import (
    ENDS,
    ask_about_open_dose,
    end_dose,
    scratch,
    wrong_bird,
)
from assistant.conversation.entries import DoseEnd, DoseEndEntry, ExchangeEntry
from assistant.conversation.heeding import unheeded
from assistant.conversation.looking_up import look_up
from assistant.conversation.manner import MANNERS
from assistant.conversation.moment import Moment, Step, said
from assistant.conversation.patience import bounded, noticed
from assistant.conversation.pot import booked
from assistant.conversation.putting_right import other_bird, put_right
from assistant.conversation.questions import answer_question, correct, no, yes
from assistant.conversation.refitting import choose_needle
from assistant.conversation.reminding import with_reminders
from assistant.conversation.rounds import (
    PLAIN,
    goodbye,
    set_needle,
    switch_medicine,
)
from assistant.conversation.sentences import what
from assistant.conversation.speech import speakable
from assistant.conversation.state import Setting, State
from assistant.conversation.stocking import about_stock
from assistant.conversation.telling import TOLD
from assistant.conversation.too_much import told_volume
from assistant.conversation.turn import Reply, Status, Turn
from assistant.conversation.wanting import (
    REPLACED,
    next_bird,
    want_dose,
)
from assistant.conversation.wondering import wonder
from assistant.language.attention import without_attention
from assistant.language.heard import Heard
from assistant.language.requests import (
    BatchSaid,
    CageSaid,
    DoseWanted,
    LookUp,
    MedicineSaid,
    NeedleSaid,
    Plain,
    Request,
    TareSaid,
    UnitSaid,
    VolumeGiven,
    VolumeSaid,
    WeightFixed,
    intent_of,
)
from assistant.language.understanding import Doubt, Understanding, understand

ANSWER_WITHIN = timedelta(seconds=20)
"""How long after a question an answer to it needs no attention word: time to look at the scale, and
too short for talk about something else to begin."""

WORDS_A_SECOND = 2.5
"""How fast a reply is spoken: the voice's usual 165 words a minute, and a little slower."""

UNGUARDED = (
    "Warning: the register cannot be read, so the guard against double doses is off. "
    "Check on paper whether this bird was dosed."
)
UNWRITTEN = (
    "Warning: the register cannot be written to. This dose is not in it, and the guard against "
    "double doses is off. Write it on paper."
)
NOT_LOGGED = "Warning: the register cannot be written to, so this is not in it."


def step(state: State, heard: Heard, setting: Setting, at: datetime) -> Step:
    """Take in one utterance."""
    moment = Moment(setting, at)
    called, meant = _called(heard, setting.kit.attention)
    understood = understand(meant.words, setting.lexicon)
    left = unheeded(state, meant, understood, moment, called=called)
    if not state.listening and not _wakes(understood):
        after, turn = state, _ignored("Not listening, so not taken for an order.", "not_listening")
    elif left is not None:
        after, turn = state, _ignored("Not taken for an order.", left)
    else:
        responded = booked(state, _respond(state, meant, understood, moment), moment)
        responded = with_reminders(state, responded, moment)
        after, turn = bounded(state, responded, meant, understood)
    after, turn = noticed(_timed(after, turn, at), turn, meant, moment)
    row = _exchange(heard, understood, turn, moment)
    turn = replace(turn, cue=cue_of(state, meant, understood, turn))
    return after, replace(turn, entries=(row, *turn.entries))


def _ignored(text: str, reason: str) -> Turn:
    return Turn(Status.IGNORED, None, Reply(text), reason)


def _called(heard: Heard, attention: str | None) -> tuple[bool, Heard]:
    """Whether the attention word was said, and what was heard without it."""
    words, called = without_attention(heard.words, attention)
    others = tuple(
        replace(one, words=without_attention(one.words, attention)[0]) for one in heard.alternatives
    )
    return called, replace(heard, words=words, alternatives=others)


def _timed(state: State, turn: Turn, at: datetime) -> State:
    """The state with the time until which an answer needs no attention word.

    It runs from the end of the reply, which is not yet spoken when the time is taken.
    """
    if turn.status is Status.IGNORED:
        return state
    spoken = timedelta(seconds=len(speakable(turn.reply.said).split()) / WORDS_A_SECOND)
    return replace(state, answer_by=at + spoken + ANSWER_WITHIN if state.question else None)


def _wakes(understood: Understanding) -> bool:
    """Whether this is heeded while it does not listen: what begins that again, an emergency."""
    if len(understood.requests) != 1 or not isinstance(understood.requests[0], Plain):
        return False
    return understood.requests[0].kind in {"listen", *ALARMS}


def _respond(state: State, heard: Heard, understood: Understanding, moment: Moment) -> Step:
    unheard = heard_out_first(state, heard, understood)
    if unheard is not None:
        return unheard
    if understood.doubt in (Doubt.TWO_THINGS, Doubt.ONE_AT_A_TIME):
        return two_things(state, understood, moment, act)
    doubtful = wonder(state, heard, understood, moment)
    if doubtful is not None:
        return doubtful
    after, turn = act(state, understood.requests[0], moment)
    return _leaving(after, turn, moment) if turn.ends and after.begun else (after, turn)


def _leaving(state: State, turn: Turn, moment: Moment) -> Step:
    """The last dose has its end, and the round is over."""
    after, parting = goodbye(state, moment)
    reply = Reply(f"{turn.reply.said} {parting.reply.said}")
    return replace(after, repeatable=reply), replace(turn, reply=reply)


def act(state: State, request: Request, moment: Moment) -> Step:
    """Carry out a request that is not in doubt."""
    moment = replace(moment, intent=intent_of(request))
    settled = answer_question(state, request, moment)
    if settled is not None:
        return _followed(settled, moment)
    match request:
        case DoseWanted():
            return want_dose(state, request, moment)
        case WeightFixed():
            return put_right(state, request, moment)
        case UnitSaid():
            return said(state, moment, "Say the bird, the number and the unit.", "nothing_asked")
        case MedicineSaid() | NeedleSaid() | CageSaid() | TareSaid():
            return _change(state, request, moment)
        case BatchSaid() | VolumeSaid():
            return about_stock(state, moment, request)
        case LookUp():
            return look_up(state, moment, request)
        case VolumeGiven(ml=ml):
            return told_volume(state, moment, ml)
        case Plain(kind):
            return _plain(state, kind, moment)


def _change(
    state: State, request: MedicineSaid | NeedleSaid | CageSaid | TareSaid, moment: Moment
) -> Step:
    """Another medicine, needle, cage or bag for the round."""
    match request:
        case MedicineSaid():
            return switch_medicine(state, moment, request)
        case NeedleSaid():
            return choose_needle(state, moment, request)
        case CageSaid():
            return enter_cage(state, moment, request)
        case TareSaid():
            return set_tare(state, moment, request)


def _followed(settled: Step | tuple[State, Request], moment: Moment) -> Step:
    """An answer that turned out to be a request of its own is carried out in its turn."""
    state, outcome = settled
    if isinstance(outcome, Turn):
        return state, outcome
    return act(state, outcome, moment)


_BY_KIND: Mapping[str, Callable[[State, Moment], Step]] = {
    **PLAIN,
    **ALARMS,
    **TOLD,
    **CAGES,
    "other_bird": other_bird,
    **MANNERS,
}
"""The requests that need nothing but the state."""


def _plain(state: State, kind: str, moment: Moment) -> Step:
    if kind in _BY_KIND:
        return _BY_KIND[kind](state, moment)
    if kind in ENDS:
        return end_dose(state, moment, kind)
    match kind:
        case "scratch":
            return scratch(state, moment)
        case "wrong_bird":
            return wrong_bird(state, moment)
        case "yes":
            return yes(state, moment)
        case "no":
            return no(state, moment)
        case "unclear":
            return ask_about_open_dose(state, moment)
        case "next":
            return next_bird(state, moment)
        case "needle_new" | "needle_rinsed" | "needle_full":
            return set_needle(state, moment, kind)
    return correct(state, moment)


def _exchange(heard: Heard, understood: Understanding, turn: Turn, moment: Moment) -> ExchangeEntry:
    return ExchangeEntry(
        at=moment.at,
        round_id=moment.setting.round_id,
        channel=heard.channel.value,
        engine=heard.engine,
        heard=heard.words,
        confidence=heard.confidence,
        status=turn.status.value,
        intent=turn.intent.value if turn.intent else None,
        request=_as_json(understood),
        reason=turn.reason,
        reply=turn.reply.said,
    )


def _as_json(understood: Understanding) -> str:
    """What was understood as a JSON object: the readings, and what was in doubt."""
    data = {
        "readings": [_plain_data(request) for request in understood.requests],
        "doubt": understood.doubt.value if understood.doubt else None,
    }
    return json.dumps(data, sort_keys=True, default=str)


def _plain_data(request: Request) -> dict[str, object]:
    data: dict[str, object] = {"request": type(request).__name__}
    if isinstance(request, DoseWanted):
        data["birds"] = [one.name for one in request.named]
        data["grams"] = [None if w.grams is None else str(w.grams) for w in request.weights]
        return data
    return data | asdict(request)


def unwritten(before: State, after: State, turn: Turn) -> Step:
    """What a turn becomes when its entries could not be written.

    The end of a dose is refused and stays open, though it holds the next bird up no longer.
    Anything else stands, with a loud warning.
    """
    ended = [
        entry
        for entry in turn.entries
        if isinstance(entry, DoseEndEntry) and entry.note not in REPLACED
    ]
    if ended:
        return _on_paper(before, after, turn, ended[0])
    if turn.status is Status.IGNORED:
        return after, replace(turn, entries=())
    warned = _warned(turn, UNWRITTEN if turn.facts.dose else NOT_LOGGED)
    return replace(after, repeatable=warned.reply), replace(warned, entries=())


def _on_paper(before: State, after: State, turn: Turn, end: DoseEndEntry) -> Step:
    """The end of a dose that only paper can keep; the bird counts as dosed all the same."""
    entry = before.pending or before.last
    if entry is None:
        raise LookupError("an end was refused, but there was no dose to end")
    text = (
        "Not written down: the register cannot be written to. "
        f"Write it on paper: {end.end.words}, {what(entry)}."
    )
    if before.open_dose and end.end is DoseEnd.SCRATCHED:
        text += " Do not give it."
    reply = Reply(text)
    kept = replace(
        before, question=None, on_paper=before.pending is not None, repeatable=reply,
        dosed={**before.dosed, **after.dosed}, needle_state=after.needle_state,
    )  # fmt: skip
    return kept, Turn(Status.COMMAND, turn.intent, reply, "register", turn.facts)


def unguarded(turn: Turn) -> Turn:
    """What a turn becomes when earlier doses could not be read: a dose says so."""
    return turn if turn.facts.dose is None else _warned(turn, UNGUARDED)


def _warned(turn: Turn, warning: str) -> Turn:
    reply = Reply(f"{turn.reply.said} {warning}", f"{turn.reply.for_eye}\n{warning}")
    return replace(turn, reply=reply)
