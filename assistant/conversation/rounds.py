"""What surrounds a dose: medicine, needle, bag, counts, help, pausing and leaving."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from assistant.conversation.drafting import advance, round_question
from assistant.conversation.ending import ask_about_open_dose
from assistant.conversation.entries import DoseEnd, NoteEntry
from assistant.conversation.moment import Moment, Step, ask
from assistant.conversation.sentences import either, ml
from assistant.conversation.state import Ask, Question, State
from assistant.conversation.turn import Reply, Status, Turn
from assistant.dosing.limits import unconfirmed
from assistant.dosing.needle import NeedleState
from assistant.dosing.quantities import decimal_text
from assistant.language.requests import MedicineSaid, TareSaid

HELP = (
    "Say a bird and its weight, such as cockatiel ninety five grams. When all of it went in, say "
    "given. You can also say part given, not given, scratch that, say again, new needle, rinsed "
    "the needle, which medicine, how many done, or goodbye."
)

_NEEDLES = {
    "needle_new": (NeedleState.DRY, "New needle: dry. Check that it is tight."),
    "needle_rinsed": (NeedleState.RINSED, "Rinsed needle: blow it empty before you fit it."),
    "needle_full": (NeedleState.FULL, "Needle full of this medicine."),
}


def said(state: State, moment: Moment, text: str, reason: str | None = None) -> Step:
    """A recognised request that needs nothing but its answer."""
    reply = Reply(text)
    turn = Turn(Status.COMMAND, moment.intent, reply, reason=reason)
    return replace(state, repeatable=reply), turn


def noted(step: Step, moment: Moment, kind: str, text: str) -> Step:
    """The same step, with a note for the register."""
    state, turn = step
    note = NoteEntry(moment.at, moment.setting.round_id, kind, text)
    return state, replace(turn, entries=(note, *turn.entries))


def set_needle(state: State, moment: Moment, kind: str) -> Step:
    """What is in the needle now, as the keeper says; a waiting bird goes on."""
    needle_state, text = _NEEDLES[kind]
    question = state.question
    after = replace(state, needle_state=needle_state)
    if question is None or question.ask not in (Ask.NEEDLE, Ask.FLUSHED, Ask.ROUND):
        step = said(after, moment, text)
    elif question.ask is Ask.ROUND:
        step = ask(after, moment, question, f"{text} {round_question(after)}")
    else:
        step = _after_needle(replace(after, question=None), moment, question, text)
    return noted(step, moment, "needle", needle_state.value)


def _after_needle(state: State, moment: Moment, question: Question, text: str) -> Step:
    if question.draft is None:
        return said(state, moment, text)
    after, turn = advance(state, moment, question.draft)
    return after, replace(
        turn, reply=Reply(f"{text} {turn.reply.said}", f"{text}\n{turn.reply.for_eye}")
    )


def say_needle(state: State, moment: Moment) -> Step:
    """Which needle, what it holds, and what is in it."""
    holds = ml(round(state.needle.dead_ml, 2))
    within = {NeedleState.DRY: "dry", NeedleState.UNKNOWN: "in a state not known"}
    state_said = within.get(state.needle_state, state.needle_state.value)
    return said(state, moment, f"Needle {state.needle.name}. It holds {holds} and is {state_said}.")


def say_medicine(state: State, moment: Moment) -> Step:
    """Which medicine, how strong, and whether its figures are confirmed."""
    medicine = state.medicine
    if medicine is None:
        names = [one.name for one in moment.setting.medicines]
        choice = f" Say switch to {either(names)}." if names else ""
        return said(state, moment, f"No medicine is chosen.{choice}")
    refusal = unconfirmed(medicine)
    made = f"made of {medicine.dilution.parts}" if medicine.dilution.water else "undiluted"
    text = f"{medicine.name}, {medicine.said_strength}, {made}."
    if medicine.fictional:
        text = f"{text} Demo medicine, never for a real bird."
    return said(state, moment, f"{text} {refusal.said}" if refusal else text)


def switch_medicine(state: State, moment: Moment, wanted: MedicineSaid) -> Step:
    """Change the medicine; no dose until needle and syringe are new or flushed."""
    if state.pending is not None:
        return ask_about_open_dose(state, moment)
    medicine = moment.setting.lexicon.medicine(wanted.spoken)
    others = [one for one in moment.setting.medicines if one != state.medicine]
    if medicine is None and len(others) == 1:
        medicine = others[0]
    if medicine is None:
        names = [one.name for one in others]
        text = f"Which one? Say switch to {either(names)}." if names else "There is no other one."
        return said(state, moment, text, "which_medicine")
    if refusal := unconfirmed(medicine):
        return said(state, moment, refusal.said, refusal.reason.value)
    if medicine == state.medicine:
        return said(state, moment, f"{medicine.name} is the medicine in use.")
    after = replace(
        state, medicine=medicine, begun=False, unsaid=0, syringe=None,
        needle_state=NeedleState.UNKNOWN, question=Question(Ask.FLUSHED),
    )  # fmt: skip
    text = (
        f"{medicine.name}, {medicine.said_strength}. Take a new syringe and a new needle, or rinse "
        "both. Then say new needle, or rinsed the needle."
    )
    return noted(said(after, moment, text), moment, "medicine", medicine.name)


def set_tare(state: State, moment: Moment, wanted: TareSaid) -> Step:
    """What the bag weighs, read back; a change is asked about before it counts."""
    if wanted.weight is None:
        return noted(
            said(replace(state, tare_g=None), moment, "No bag: weights are of the bird alone."),
            moment, "tare", "none",
        )  # fmt: skip
    grams = wanted.weight.grams
    if grams is None:
        text = f"{wanted.weight.said} what? Say the bag's weight in grams."
        return said(state, moment, text, "unit")
    if state.tare_g is not None and state.tare_g != grams:
        before, now = decimal_text(state.tare_g), decimal_text(grams)
        question = Question(Ask.BAG_CHANGED, options=(wanted,))
        return ask(
            state, moment, question, f"The bag was {before} grams, now {now}. Is that right?"
        )
    return put_tare(state, moment, wanted)


def put_tare(state: State, moment: Moment, wanted: TareSaid) -> Step:
    """The tare, taken; a bird whose bag was asked about goes on."""
    grams = wanted.weight.grams if wanted.weight else None
    if grams is None:
        return said(state, moment, "No bag.")
    text = f"Bag {decimal_text(grams)} grams, taken off each weight from now on."
    question = state.question
    after = replace(state, tare_g=grams, question=None)
    if question is not None and question.ask is Ask.TARE and question.draft is not None:
        step = _after_needle(after, moment, question, text)
    else:
        step = said(after, moment, text)
    return noted(step, moment, "tare", f"{decimal_text(grams)} g")


def say_tare(state: State, moment: Moment) -> Step:
    """What is taken off for the bag."""
    if state.tare_g is None:
        return said(state, moment, "No bag is set. Say, bag is twelve.")
    return said(state, moment, f"The bag is {decimal_text(state.tare_g)} grams.")


def say_count(state: State, moment: Moment) -> Step:
    """How many birds were done in this round, by how their doses ended."""
    given = state.ended.get(DoseEnd.GIVEN, 0)
    text = f"{given} bird{'' if given == 1 else 's'} given."
    others = [
        f"{count} {end.value.replace('_', ' ')}"
        for end, count in state.ended.items()
        if count and end is not DoseEnd.GIVEN
    ]
    if others:
        text = f"{text} Also {', '.join(others)}."
    if state.pending:
        text = f"{text} One dose is still open."
    return said(state, moment, text)


def say_remaining(state: State, moment: Moment) -> Step:
    """How many are left, which needs a list of birds that this round does not have."""
    _, turn = say_count(state, moment)
    text = f"{turn.reply.said} I have no list for this round, so I cannot say who is left."
    return said(state, moment, text, "no_list")


def say_help(state: State, moment: Moment) -> Step:
    """What can be said."""
    return said(state, moment, HELP)


def say_again(state: State, moment: Moment) -> Step:
    """The last reply once more."""
    reply = state.repeatable
    if reply is None:
        return said(state, moment, "Nothing was said yet.")
    return state, Turn(Status.COMMAND, moment.intent, reply)


def shaken(state: State, moment: Moment) -> Step:
    """The stock was shaken."""
    return noted(said(state, moment, "Shaken."), moment, "shaken", "")


def stop(state: State, moment: Moment) -> Step:
    """Listen to nothing but the words that start it again."""
    text = "Not listening. Say start listening when you are back."
    return said(replace(state, listening=False), moment, text)


def listen(state: State, moment: Moment) -> Step:
    """Listen again, and say what is open."""
    after = replace(state, listening=True)
    if state.pending:
        step = ask_about_open_dose(after, moment)
        return step[0], replace(step[1], status=Status.COMMAND)
    return said(after, moment, "Listening.")


def goodbye(state: State, moment: Moment) -> Step:
    """Leave, once the open dose has its end."""
    if state.pending is not None and not moment.setting.one_shot:
        return ask_about_open_dose(state, moment, leaving=True)
    _, counted = say_count(state, moment)
    after = replace(state, begun=False, question=Question(Ask.ROUND), unsaid=0, ended={}, last=None)
    text = f"Goodbye. {counted.reply.said}"
    return after, Turn(Status.COMMAND, moment.intent, Reply(text), ends=True)


PLAIN: Mapping[str, Callable[[State, Moment], Step]] = {
    "count": say_count,
    "remaining": say_remaining,
    "help": say_help,
    "repeat": say_again,
    "shaken": shaken,
    "stop": stop,
    "listen": listen,
    "goodbye": goodbye,
    "needle_which": say_needle,
    "medicine_which": say_medicine,
    "tare_which": say_tare,
}
"""The requests that need nothing but the state."""
