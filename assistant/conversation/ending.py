"""How a dose ends: given, part given, not given, not known, or scratched."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from assistant.conversation.drafting import (
    ENDS_SAID,
    FLUSH,
    advance,
    needle_question,
    round_question,
)
from assistant.conversation.entries import COUNTS_AS_FULL, DoseEnd, DoseEndEntry, DoseEntry
from assistant.conversation.moment import Moment, Step, ask, species_of
from assistant.conversation.sentences import either, named, weight_text, what
from assistant.conversation.state import Ask, Dosed, Draft, Question, State, asking_first
from assistant.conversation.tally import counted, done_today, tallied
from assistant.conversation.turn import Facts, Reply, Status, Turn
from assistant.dosing.needle import NeedleState
from assistant.language.requests import Named

ENDS: Mapping[str, DoseEnd] = {
    "given": DoseEnd.GIVEN,
    "part_given": DoseEnd.PART_GIVEN,
    "not_given": DoseEnd.NOT_GIVEN,
    "got_away": DoseEnd.NOT_GIVEN,
    "crop_full": DoseEnd.NOT_GIVEN,
    "crop_sour": DoseEnd.NOT_GIVEN,
    "not_known": DoseEnd.NOT_KNOWN,
}
"""The requests that end a dose, and the end that each is."""

_SAID = {
    DoseEnd.GIVEN: "Given: {what}.",
    DoseEnd.PART_GIVEN: "Part given: {what}. It counts as a full dose: no top-up.",
    DoseEnd.NOT_GIVEN: "Not given: {what}.",
    DoseEnd.NOT_KNOWN: "Not known: {what}. It counts as a full dose: no second one.",
}
_ADVICE = {
    "got_away": "Catch it, weigh it and ask again.",
    "crop_full": "Come back to it when its crop is empty.",
    "crop_sour": "A sour crop, or one that does not empty, is for the vet.",
}
_NOTHING_OPEN = "No dose is open. Say the bird and its weight first."
_NOT_YET = "No dose was said yet for this bird."
_SAY_AGAIN = "Say it again if it counts."
_WAS_ENDED = (
    "No dose is open. The last one, {what}, is written as {end}. "
    "If that is wrong, say scratch that."
)


def end_dose(state: State, moment: Moment, kind: str) -> Step:
    """End the open dose, and go on with the bird that waited behind it, if any."""
    if state.pending is None:
        return _end_afterwards(state, moment, kind)
    asked = state.asked(Ask.OPEN_DOSE)
    waiting = asked.draft if asked else None
    leaving = asked.leaving if asked else False
    end, entry = ENDS[kind], state.pending
    after = _closed(state, entry, end, moment)
    dropped = "" if asked else _dropped(state.question)
    parts = [_SAID[end].format(what=what(entry)), _advice(after, entry, kind, moment), dropped]
    said = " ".join(filter(None, [*parts, dropped and _SAY_AGAIN]))
    done = DoseEndEntry(moment.at, moment.setting.round_id, entry.dose_id, end, kind)
    turn = Turn(
        Status.COMMAND,
        moment.intent,
        Reply(said),
        facts=_facts(entry),
        entries=(done,),
        ends=leaving,
    )
    return _then(after, turn, moment, waiting)


def _end_afterwards(state: State, moment: Moment, kind: str) -> Step:
    """What a keeper sees of the last bird after its dose was ended.

    One that brings some up after "given" had its dose in part: nobody may take it for a bird that
    can be dosed again.
    """
    last, before, end = state.last, state.last_end, ENDS[kind]
    seen_later = (before, end) == (DoseEnd.GIVEN, DoseEnd.PART_GIVEN)
    if not seen_later and (waiting := _asked_about(state)) is not None:
        return _before_its_dose(state, moment, waiting, end)
    if last is None or before not in COUNTS_AS_FULL:
        return _command(state, moment, _NOTHING_OPEN)
    if kind == "not_given":
        return _command(state, moment, _WAS_ENDED.format(what=what(last), end=before.words))
    if not seen_later:
        return _command(state, moment, _NOTHING_OPEN)
    counts = {**state.ended, before: state.ended[before] - 1, end: state.ended.get(end, 0) + 1}
    row = DoseEndEntry(moment.at, moment.setting.round_id, last.dose_id, end, f"{kind} afterwards")
    reply = Reply(_SAID[end].format(what=what(last)))
    after = replace(state, ended=counts, last_end=end, repeatable=reply)
    turn = Turn(Status.COMMAND, moment.intent, reply, facts=_facts(last), entries=(row,))
    return after, turn


def _asked_about(state: State) -> Question | None:
    """The open question, where a bird waits for its answer."""
    question = state.question
    return question if question and question.draft and question.draft.named else None


def _before_its_dose(state: State, moment: Moment, waiting: Question, end: DoseEnd) -> Step:
    """An end for a bird whose dose was not said yet: one that gets none is dropped."""
    if end is DoseEnd.NOT_GIVEN:
        kept = Question(Ask.ROUND) if waiting.ask is Ask.ROUND else None
        return _command(
            replace(state, question=kept), moment, f"No dose was said. {_dropped(waiting)}"
        )
    match waiting.ask:
        case Ask.ROUND:
            first = round_question(state)
        case Ask.NEEDLE_CHANGED:
            first = needle_question(state)
        case Ask.FLUSHED:
            first = FLUSH
        case _:
            first = "Answer the question first, or say the bird and its weight again."
    return _command(state, moment, f"{_NOT_YET} {first}")


def _dropped(question: Question | None) -> str:
    """What was asked about and goes with its question; empty where it was nothing."""
    asked = [one for one in (question and question.behind, question) if one is not None]
    words = ", ".join(filter(None, map(_asked_words, asked)))
    return f"Dropped: {words}." if words else ""


def _asked_words(question: Question) -> str:
    draft = question.draft or Draft()
    bird = draft.spoken or (either(map(named, draft.named)) if draft.named else "")
    return ", ".join(filter(None, [bird, *map(weight_text, draft.weights)]))


def _then(state: State, turn: Turn, moment: Moment, waiting: Draft | None) -> Step:
    """The end of one dose and what comes next, in one reply: a word keeps them apart.

    That is the bird that waited, or the other one of a pair; or, after a dose that an earlier round
    left open, the question that begins this one.
    """
    if waiting is None and state.sitting.paired and state.previous is not None and not turn.ends:
        waiting, state = _mate(state, state.previous, moment)
    if waiting is None and (state.begun or turn.ends):
        return replace(state, repeatable=turn.reply), turn
    after, onward = advance(state, moment, waiting) if waiting else ask_first(state, moment)
    ended = f"{turn.reply.said} Next:"
    reply = Reply(f"{ended} {onward.reply.said}", f"{ended}\n{onward.reply.for_eye}")
    return after, replace(onward, reply=reply, entries=(*turn.entries, *onward.entries))


def _mate(state: State, one: Named, moment: Moment) -> tuple[Draft, State]:
    """The other bird of a pair, whose turn it is now."""
    other = species_of(one, moment.setting)
    sitting = replace(state.sitting, paired=False)
    return Draft((other,), other.name), replace(state, sitting=sitting)


def _advice(state: State, entry: DoseEntry, kind: str, moment: Moment) -> str:
    """What else to say of an end: what to do now, or how the cage stands."""
    cage = state.sitting.cage
    if kind == "got_away" and entry.bird is None and cage and done_today(state, cage, moment.at):
        return "Catch it again only if you can tell it from those that are done."
    if kind in _ADVICE or cage is None or ENDS[kind] not in COUNTS_AS_FULL:
        return _ADVICE.get(kind, "")
    return counted(state, cage, moment.at)


def _closed(state: State, entry: DoseEntry, end: DoseEnd, moment: Moment) -> State:
    dosed, unnamed = dict(state.dosed), dict(state.unnamed)
    if end in COUNTS_AS_FULL:
        kept, key = (dosed, entry.bird) if entry.bird else (unnamed, entry.species)
        kept[key, entry.medicine] = Dosed(entry.at, entry.volume_ml, entry.grams)
    counts = {**state.ended, end: state.ended.get(end, 0) + 1}
    # a dose that was not given may never have been drawn: priming again wastes a little, while
    # taking an empty needle for a full one would leave the next bird short
    used = state.begun and end in (DoseEnd.GIVEN, DoseEnd.PART_GIVEN)
    cage = state.sitting.cage if end in COUNTS_AS_FULL else None
    return replace(
        tallied(state, cage, moment.at, 1),
        pending=None,
        on_paper=False,
        question=None,
        last=entry,
        dosed=dosed,
        unnamed=unnamed,
        ended=counts,
        needle_state=NeedleState.FULL if used else state.needle_state,
        last_end=end,
        sitting=replace(state.sitting, last_cage=cage),
    )


def scratch(state: State, moment: Moment) -> Step:
    """Void the open dose, or drop the bird that is asked about, or void the last dose that ended.

    The rows stay; a new one says so.
    """
    if state.pending is not None:
        return _void_open(state, state.pending, moment)
    question = state.question
    if question and question.draft and question.draft.named:
        text = "Dropped. To take the last dose back, say scratch that again."
        after, turn = _command(replace(state, question=None), moment, text)
        return replace(after, repeatable=turn.reply), replace(turn, reason=None)
    if state.last is None or state.last_end is None:
        return _command(state, moment, "Nothing to scratch.")
    return _void_last(state, state.last, state.last_end, moment)


def _void_open(state: State, entry: DoseEntry, moment: Moment) -> Step:
    asked = state.asked(Ask.OPEN_DOSE)
    turn = _scratched(entry, moment, "Do not give it.")
    after = replace(state, pending=None, on_paper=False, question=None)
    return _then(after, turn, moment, asked.draft if asked else None)


def _void_last(state: State, entry: DoseEntry, end: DoseEnd, moment: Moment) -> Step:
    turn = _scratched(entry, moment, f"It no longer counts as {end.words}.")
    dosed = dict(state.dosed)
    if end in COUNTS_AS_FULL:
        dosed.pop((entry.bird or "", entry.medicine), None)
    after = replace(
        tallied(state, state.sitting.last_cage, moment.at, -1),
        last=None, last_end=None, question=None, dosed=dosed, repeatable=turn.reply,
        ended={**state.ended, end: state.ended[end] - 1},
    )  # fmt: skip
    return after, turn


def _scratched(entry: DoseEntry, moment: Moment, then: str) -> Turn:
    void = DoseEndEntry(moment.at, moment.setting.round_id, entry.dose_id, DoseEnd.SCRATCHED)
    reply = Reply(f"Scratched: {what(entry)}. {then}")
    return Turn(Status.COMMAND, moment.intent, reply, facts=_facts(entry), entries=(void,))


def wrong_bird(state: State, moment: Moment) -> Step:
    """The dose was worked out for another bird: void it, and ask which bird this is."""
    if state.pending is None:
        said = "No dose is open. If the last one was for another bird, say scratch that."
        return _command(state, moment, said)
    after, turn = _void_open(state, state.pending, moment)
    if after.question is not None or after.pending is not None:
        # the right bird was waiting already
        return after, turn
    reply = Reply(f"{turn.reply.said} Which bird is it, and what does it weigh?")
    asked = replace(after, question=Question(Ask.WHICH_BIRD, Draft()), repeatable=reply)
    return asked, replace(turn, reply=reply)


def ask_about_open_dose(state: State, moment: Moment, *, leaving: bool = False) -> Step:
    """Ask what became of the open dose, before going on or leaving; a waiting bird waits on."""
    entry = state.pending
    if entry is None:
        return _command(state, moment, _NOTHING_OPEN)
    asked = state.asked(Ask.OPEN_DOSE)
    question = Question(Ask.OPEN_DOSE, asked.draft if asked else None, leaving=leaving)
    return ask(state, moment, question, f"The dose for {_open_words(entry)}")


def opening_words(state: State) -> str:
    """The first question of a round in words: what was left open, or medicine and needle."""
    if state.pending is None:
        return round_question(state)
    return f"The last round stopped. The dose for {_open_words(state.pending)}"


def _open_words(entry: DoseEntry) -> str:
    return f"{what(entry)} is still open. Was it given? {ENDS_SAID}"


def ask_first(state: State, moment: Moment) -> Step:
    """Put the first question of a round."""
    asking = asking_first(state)
    question = asking.question or Question(Ask.ROUND)
    return ask(asking, moment, question, opening_words(asking))


def _facts(entry: DoseEntry) -> Facts:
    return Facts(entry.species, entry.bird, entry.grams, entry.medicine)


def _command(state: State, moment: Moment, said: str) -> Step:
    return state, Turn(Status.COMMAND, moment.intent, Reply(said), reason="nothing_open")
