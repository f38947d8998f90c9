"""What surrounds a dose: medicine, needle, bag, counts, help, pausing and leaving."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from assistant.conversation.ahead import DUE, say_due
from assistant.conversation.bag import say_tare
from assistant.conversation.cutting import hush
from assistant.conversation.dose_reply import FICTIONAL, priming
from assistant.conversation.drafting import (
    CONFIRM,
    FLUSH,
    FOUL,
    advance,
    no_medicine,
    round_question,
)
from assistant.conversation.ending import ask_about_open_dose
from assistant.conversation.entries import DoseEnd
from assistant.conversation.fitness import NO_TOP_UP
from assistant.conversation.moment import Moment, Step, ask, noted, said
from assistant.conversation.sentences import either, ml, what
from assistant.conversation.sitting import Sitting
from assistant.conversation.state import Ask, Question, State
from assistant.conversation.stocking import say_batch, say_left, spilled
from assistant.conversation.tally import left_in
from assistant.conversation.turn import Facts, Reply, Status, Turn
from assistant.dosing.limits import unconfirmed
from assistant.dosing.needle import NeedleState, draw_to
from assistant.dosing.quantities import decimal_text
from assistant.language.requests import MedicineSaid, Unusual

HELP = (
    "Say a bird and its weight, such as cockatiel ninety five grams. When all of it went in, say "
    "given. If a bird coughs or chokes, say emergency. You can also say part given, not given, "
    "scratch that, say again, new needle, rinsed the needle, which medicine, how many done, or "
    "goodbye. About how I talk, say short answers, speak slower, speak louder, stop listening, or "
    "what do the tones mean."
)

STOCK_HELP = "About the stock, say what is in the pot, enough for how many, or spilled the pot."

NOT_THIS_NEEDLE = "Not with that needle. Change it, then say new needle, or rinsed the needle."

_NEEDLES = {
    "needle_new": (NeedleState.DRY, "New needle, dry. Check that it is tight."),
    "needle_rinsed": (NeedleState.RINSED, "Rinsed needle. Rinse it clear and empty it."),
    "needle_full": (NeedleState.FULL, "Needle full of this medicine."),
}


def set_needle(state: State, moment: Moment, kind: str) -> Step:
    """What is in the needle now, as the keeper says; a waiting bird goes on.

    After a change of medicine a needle is never taken as full: it may hold the other one.
    """
    needle_state, text = _NEEDLES[kind]
    question = state.question
    if needle_state is NeedleState.FULL and state.needle_state is NeedleState.UNKNOWN:
        draft = question.draft if question else None
        text = f"It may hold the other medicine. {FLUSH}"
        return ask(state, moment, Question(Ask.FLUSHED, draft), text)
    if needle_state is NeedleState.FULL and state.sitting.foul_needle:
        draft = question.draft if question else None
        return ask(state, moment, Question(Ask.NEEDLE_CHANGED, draft), FOUL)
    after = replace(state, needle_state=needle_state, sitting=state.sitting.with_clean_needle())
    if question is not None and question.ask in (Ask.FLUSHED, Ask.ROUND):
        confirm = Question(Ask.ROUND, question.draft)
        step = ask(after, moment, confirm, f"{text} {round_question(after)}")
    elif question is not None and question.ask is Ask.NEEDLE_CHANGED:
        free = replace(after, question=None)
        told = for_open_dose(free, text)
        step = advance(free, moment, question.draft) if question.draft else said(free, moment, told)
    else:
        step = said(after, moment, for_open_dose(after, text))
    return noted(step, moment, "needle", needle_state.value)


def for_open_dose(state: State, text: str) -> str:
    """What the needle now means for the dose that was said and not yet given."""
    entry, syringe = state.open_dose, state.syringe
    if entry is None or syringe is None:
        return text
    past = draw_to(entry.volume_ml, state.needle, state.needle_state, syringe)
    if past > syringe.capacity_ml:
        return f"{text} The {syringe.name} is too small for that: say scratch that, and ask again."
    how = priming(entry.volume_ml, past, state.needle.dead_ml, state.needle_state)
    fictional = f" {FICTIONAL}" if entry.fictional else ""
    return f"{text} {what(entry)}. {how}{fictional}"


def say_needle(state: State, moment: Moment) -> Step:
    """Which needle, what it holds, and what is in it."""
    holds = ml(round(state.needle.dead_ml, 2))
    within = {NeedleState.DRY: "dry", NeedleState.UNKNOWN: "in a state not known"}
    state_said = within.get(state.needle_state, state.needle_state.value)
    return said(state, moment, f"Needle {state.needle.name}. It holds {holds} and is {state_said}.")


def needle_fault(state: State, moment: Moment) -> Step:
    """A needle that was dropped, or is bent or blocked: no dose through it until it was changed."""
    after = replace(state, sitting=replace(state.sitting, told_to_change=True))
    return noted(said(after, moment, NOT_THIS_NEEDLE), moment, "needle", "to be changed")


def say_syringes(state: State, moment: Moment) -> Step:
    """That the syringe is chosen with each dose, and which there are."""
    names = either(decimal_text(one.capacity_ml) for one in moment.setting.kit.syringes)
    text = f"Each dose says which syringe, of those in your kit: {names} mL."
    return said(state, moment, for_open_dose(state, text))


def say_medicine(state: State, moment: Moment) -> Step:
    """Which medicine, how strong, and whether its figures are confirmed."""
    medicine = state.medicine
    if medicine is None:
        return said(state, moment, no_medicine(moment.setting))
    refusal = unconfirmed(medicine)
    made = f", made of {medicine.dilution.parts}" if medicine.dilution.water else ""
    text = f"{medicine.name}, {medicine.said_strength}{made}."
    if medicine.fictional:
        text = f"{text} {FICTIONAL}"
    return said(state, moment, f"{text} {refusal.said} {CONFIRM}" if refusal else text)


def switch_medicine(state: State, moment: Moment, wanted: MedicineSaid) -> Step:
    """Change the medicine; no dose until needle and syringe are new or flushed."""
    if state.open_dose is not None and not moment.setting.one_shot:
        return ask_about_open_dose(state, moment)
    medicine = moment.setting.lexicon.medicine(wanted.spoken)
    others = [one for one in moment.setting.medicines if one != state.medicine]
    if medicine is None and len(others) == 1:
        medicine = others[0]
    if medicine is None:
        names = [one.name for one in others]
        text = "There is no other medicine."
        if names:
            text = f"Which one? Say switch to {either(names)}."
        return said(state, moment, text, "which_medicine")
    if refusal := unconfirmed(medicine):
        text = f"{refusal.said} {CONFIRM}"
        return said(state, moment, text, refusal.reason.value)
    if medicine == state.medicine and (asked := state.asked(Ask.ROUND)):
        return ask(state, moment, asked, round_question(state))
    if medicine == state.medicine:
        return said(state, moment, f"{medicine.name} is the medicine in use.")
    waiting = state.question.draft if state.question else None
    after = replace(
        state, medicine=medicine, begun=False, unsaid=0, syringe=None, pending=None, on_paper=False,
        needle_state=NeedleState.UNKNOWN, question=Question(Ask.FLUSHED, waiting),
    )  # fmt: skip
    text = f"{medicine.name}, {medicine.said_strength}. {FLUSH}"
    return noted(said(after, moment, text), moment, "medicine", medicine.name)


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
    if state.open_dose:
        text = f"{text} One dose is still open."
    return said(state, moment, text)


def say_remaining(state: State, moment: Moment) -> Step:
    """Who is left in the cages that were said; without one there is no list to tell by."""
    cages = dict.fromkeys(filter(None, (state.sitting.cage, *state.sitting.counted)))
    if cages:
        return said(state, moment, " ".join(left_in(state, moment, cage) for cage in cages))
    _, turn = say_count(state, moment)
    text = f"{turn.reply.said} I have no list for this round, so I cannot say who is left."
    return said(state, moment, text, "no_list")


def say_help(state: State, moment: Moment) -> Step:
    """What can be said."""
    return said(state, moment, f"{HELP} {STOCK_HELP}" if state.stock.book else HELP)


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
    if state.open_dose:
        step = ask_about_open_dose(after, moment)
        return step[0], replace(step[1], status=Status.COMMAND)
    if asked := after.asked(Ask.ROUND):
        again = "" if state.listening else "Listening. "
        return ask(after, moment, asked, f"{again}{round_question(after)}")
    return said(after, moment, "Listening.")


def goodbye(state: State, moment: Moment) -> Step:
    """Leave, once the open dose has its end."""
    if state.open_dose is not None and not moment.setting.one_shot:
        return ask_about_open_dose(state, moment, leaving=True)
    _, counted = say_count(state, moment)
    after = replace(
        state, begun=False, question=Question(Ask.ROUND), unsaid=0, ended={}, pending=None,
        on_paper=False, last=None, last_end=None, previous=None, sitting=Sitting(),
    )  # fmt: skip
    reply = Reply(f"{counted.reply.said} Goodbye.")
    return replace(after, repeatable=reply), Turn(Status.COMMAND, moment.intent, reply, ends=True)


WAS_NOT_GIVEN = "The last dose was not given. Say the bird and its weight again."

_UNUSUAL = {
    Unusual.HALF_DOSE: (
        "No. I only say the dose that the label gives for the weight. Anything else is for a vet."
    ),
    Unusual.TOP_UP: NO_TOP_UP,
    Unusual.DROPS: "Not in drops: a drop has no known size. I answer in mL.",
    Unusual.STRENGTH: (
        "No. I only answer for the strength that this medicine's file gives. Say which medicine to "
        "hear it."
    ),
    Unusual.BY_MOUTH: "No. I only answer for a dose by mouth or into the crop.",
}


def refuse_unusual(state: State, moment: Moment, unusual: Unusual, facts: Facts = Facts()) -> Step:  # noqa: B008 - a frozen record
    """Refuse what is never answered, whoever asks; an open question stays open."""
    again = unusual is Unusual.TOP_UP and state.last_end is DoseEnd.NOT_GIVEN
    reply = Reply(WAS_NOT_GIVEN if again and state.pending is None else _UNUSUAL[unusual])
    turn = Turn(Status.ASKED, moment.intent, reply, unusual.value, facts)
    return replace(state, repeatable=reply), turn


PLAIN: Mapping[str, Callable[[State, Moment], Step]] = {
    "count": say_count,
    "remaining": say_remaining,
    "help": say_help,
    "repeat": say_again,
    "shaken": shaken,
    "stop": stop,
    "hush": hush,
    "listen": listen,
    "goodbye": goodbye,
    "needle_which": say_needle,
    "needle_fault": needle_fault,
    "syringe_which": say_syringes,
    "medicine_which": say_medicine,
    "tare_which": say_tare,
    "batch_which": say_batch,
    "left": say_left,
    DUE: say_due,
    "spilled": spilled,
    **{unusual.value: partial(refuse_unusual, unusual=unusual) for unusual in Unusual},
}
"""The requests that need nothing but the state."""
