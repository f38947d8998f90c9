"""How often it asks, and how often it says that it cannot hear: twice, and once.

Only spoken requests are counted: a keyboard is patient, and what is typed is not misheard.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from assistant.conversation.doubting import in_doubt
from assistant.conversation.entries import DoseEndEntry
from assistant.conversation.moment import Moment, Step
from assistant.conversation.state import Ask, Question, State, Unheard
from assistant.conversation.turn import Facts, Reply, Status, Turn
from assistant.language.heard import Channel, Heard
from assistant.language.requests import DoseWanted
from assistant.language.understanding import Understanding

MOST_QUESTIONS = 2
"""Questions in a row about one request: after two the bird has waited longer than a new weighing
takes, and what was misheard twice in this noise will be misheard again."""

UNUSABLE_IN_A_ROW = 4
"""Utterances of which nothing could be made, after which it says how to get help: the number of
times in a row that a keeper may be taken to have tried."""

UNUSABLE_FOR = timedelta(minutes=1)
"""How long such sound may go on, however few the utterances, before it says so."""

PAUSE = timedelta(minutes=1)
"""A longer pause begins the count again: nobody who needs an answer waits so long to say it again,
while a magpie may."""

WEIGH_AGAIN = "Still not sure. Weigh the bird again and say the weight digit by digit, or type it."
STAYS_ODD = "No dose yet. Weigh it again and check the scale. Then say the bird and its weight."
SAY_THE_END = "Still not sure. Say given, part given, not given or don't know, or type it."
SAY_AGAIN = "Still not sure. Say it in other words, or type it."

_ABOUT_REQUEST = frozenset(
    {
        *(Ask.WHICH_BIRD, Ask.NO_WEIGHT, Ask.TWO_WEIGHTS, Ask.UNIT, Ask.GUESS, Ask.ODD_WEIGHT),
        Ask.LIGHT,
        *(Ask.TARE, Ask.MEANT, Ask.WHICH_READING, Ask.HEARD),
    }
)
"""Questions about what was asked for.  Those about the round, the needle, a caution or an open dose
are put however often a bird needs them, but an unsure answer to them counts."""


_ODD = frozenset({Ask.LIGHT, Ask.ODD_WEIGHT})
"""Questions about a weight that was heard surely, and is odd for the bird."""


def bounded(before: State, step: Step, heard: Heard, understood: Understanding) -> Step:
    """The step, or in the place of a third question about one spoken request the end of it.

    Then nothing is left that a stray "yes" could confirm; an open dose stays open.
    """
    after, turn = step
    if turn.status is Status.IGNORED:
        return step
    if heard.channel is Channel.TEXT or after.question is None:
        return replace(after, questions=0), turn
    unsure = in_doubt(heard)
    if turn.status is not Status.ASKED or not (unsure or after.question.ask in _ABOUT_REQUEST):
        return step
    fresh = not unsure and (_is_new(before.question, understood) or _ended(turn))
    asked = 1 if fresh else before.questions + 1
    if asked <= MOST_QUESTIONS:
        return replace(after, questions=asked), turn
    return _dropped(after, turn, after.question, unsure=unsure)


def _is_new(question: Question | None, understood: Understanding) -> bool:
    """Whether a sure utterance asks for something else than was being asked about."""
    wanted = understood.requests[0] if len(understood.requests) == 1 else None
    if not isinstance(wanted, DoseWanted) or not wanted.named:
        return False
    waiting = question.draft.named if question and question.draft else ()
    return bool(wanted.weights) or not set(wanted.named) & set(waiting)


def _ended(turn: Turn) -> bool:
    """Whether a dose got its end, so that the question is about the next bird."""
    return any(isinstance(entry, DoseEndEntry) for entry in turn.entries)


def _dropped(state: State, turn: Turn, question: Question, *, unsure: bool) -> Step:
    reply = Reply(_parting(state, question, unsure=unsure))
    after = replace(state, question=None, questions=0, repeatable=reply)
    return after, replace(turn, reply=reply, reason="still_unsure", facts=Facts())


def _parting(state: State, question: Question, *, unsure: bool) -> str:
    if question.ask in _ODD and not unsure:
        return STAYS_ODD
    about_dose = question.draft is not None or any(
        isinstance(one, DoseWanted) for one in question.options
    )
    if about_dose:
        return WEIGH_AGAIN
    return SAY_THE_END if state.open_dose else SAY_AGAIN


def noticed(state: State, turn: Turn, heard: Heard, moment: Moment) -> Step:
    """The step, with what to do about a row of utterances of which nothing could be made.

    It says once how to get help, and then nothing until something was heard surely.
    """
    if heard.channel is Channel.TEXT or turn.reason in _MEANT_FOR_OTHERS:
        return state, turn
    run = state.unheard
    if turn.status is not Status.IGNORED:
        helped = run.helped and in_doubt(heard)
        return replace(state, unheard=Unheard(helped=helped)), turn
    at = moment.at
    if run.last is None or at - run.last > PAUSE:
        run = replace(run, count=0, since=at)
    run = replace(run, count=run.count + 1, last=at)
    long_enough = run.since is not None and at - run.since >= UNUSABLE_FOR
    if run.helped or (run.count < UNUSABLE_IN_A_ROW and not long_enough):
        return replace(state, unheard=run), turn
    reply = Reply(_help(moment))
    after = replace(state, unheard=replace(run, helped=True))
    return after, replace(turn, reply=reply, helps=True)


_MEANT_FOR_OTHERS = frozenset({"not_listening", "not_addressed"})


def _help(moment: Moment) -> str:
    word = moment.setting.kit.attention
    called = f"{word}, " if word else ""
    return f"I cannot make that out. Say {called}help, or type it."
