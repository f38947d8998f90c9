"""Asking whether something was meant, in words that a keeper says."""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.moment import Moment, Step, ask
from assistant.conversation.sentences import either, ml, named, weight_text
from assistant.conversation.state import Ask, Question, State, drafted
from assistant.language.requests import (
    BatchSaid,
    CageSaid,
    DoseWanted,
    MedicineSaid,
    NeedleSaid,
    Plain,
    Request,
    Sought,
    TareSaid,
    UnitSaid,
    VolumeSaid,
    WeightFixed,
    intent_of,
)


def meant(state: State, request: Request, moment: Moment, start: str) -> Step:
    """Ask whether this is what was meant; a yes carries it out."""
    moment = replace(moment, intent=intent_of(request))
    draft = None
    if isinstance(request, DoseWanted):
        draft = drafted(request)
    behind = state.question
    if behind is not None and behind.ask is Ask.MEANT and not isinstance(request, Plain):
        # another bird takes the place of the one that was asked about
        behind = behind.behind
    question = Question(Ask.MEANT, draft, (request,), behind=behind)
    return ask(state, moment, question, f"{start} {request_text(request)}?")


def request_text(request: Request) -> str:
    """A request in the words of a question."""
    match request:
        case DoseWanted():
            return _dose_text(request)
        case WeightFixed(weight):
            return f"a correction to {weight_text(weight)}"
        case TareSaid(weight):
            return f"bag, {weight_text(weight)}" if weight else "no bag"
        case MedicineSaid(spoken):
            return f"switch to {spoken}" if spoken else "switch medicine"
        case UnitSaid(unit):
            return _UNITS[unit]
        case VolumeSaid(volume):
            return f"pot holds {ml(volume)}"
        case CageSaid() | NeedleSaid() | BatchSaid():
            return _of_round(request)
        case Plain(kind):
            return _SAID.get(kind, kind.replace("_", " "))


def _of_round(request: CageSaid | NeedleSaid | BatchSaid) -> str:
    match request:
        case CageSaid(name, birds):
            return f"cage {name}, {birds} birds" if birds else f"cage {name}"
        case NeedleSaid(spoken):
            return f"{spoken} needle" if spoken else "other needle"
        case BatchSaid(number):
            return "without a batch" if number is None else f"batch {number}"


_UNITS = {"g": "grams", "kg": "kilos", "oz": "ounces", "lb": "pounds"}
"""The units by their tags, as a keeper says them."""

_SAID = {
    "needle_new": "new needle",
    "needle_rinsed": "rinsed the needle",
    "needle_full": "needle is full",
    "needle_which": "which needle",
    "medicine_which": "which medicine",
    "tare_which": "which bag",
    "batch_which": "which batch",
    "left": "what is in the pot",
    "spilled": "spilled the pot",
    "due": "what is due",
    "not_known": "don't know",
    "scratch": "scratch that",
    "repeat": "say again",
    "count": "how many done",
    "remaining": "how many left",
    "next": "next bird",
    "stop": "stop listening",
    "hush": "stop",
    "tones": "what do the tones mean",
    "slower": "speak slower",
    "faster": "speak faster",
    "louder": "speak louder",
    "softer": "speak softer",
    "listen": "start listening",
    "coughing": "it's coughing",
    "next_cage": "next cage",
    "cage_which": "which cage",
    "recaught": "caught again",
    "other_bird": "that was the other bird",
    "young": "young bird",
    "ill": "sick bird",
    "adult": "healthy adult",
    "crop_full": "full crop",
    "crop_sour": "sour crop",
    "fluid": "fluid at the nose",
    Sought.LAST_DOSE: "what was the last dose",
    Sought.DONE_YET: "whether that bird is done",
    Sought.DUE_OF: "when it is due again",
    Sought.CAGES_LEFT: "which cages are left",
    Sought.CAGE_LEFT: "who is left in that cage",
    Sought.TO_MAKE: "how much to make up",
    Sought.BATCH_MADE: "a new batch",
    Sought.ON_PAPER: "what is done on the computer",
    Sought.EATEN: "when eggs and meat may be eaten",
}
"""The requests whose tag is not what a keeper says."""


def _dose_text(wanted: DoseWanted) -> str:
    bird = named(wanted.named[0]) if len(wanted.named) == 1 else wanted.spoken
    if wanted.another:
        bird = "another one"
    weights = either(map(weight_text, wanted.weights)) if wanted.weights else ""
    medicine = f"with {wanted.medicine}" if wanted.medicine else ""
    unusual = wanted.unusual.replace("_", " ") if wanted.unusual else ""
    return ", ".join(filter(None, [bird, weights, medicine, unusual]))
