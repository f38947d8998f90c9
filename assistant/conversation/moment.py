"""One step of the conversation: what it is taken in, and the two ways of not giving a dose."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from assistant.conversation.entries import NoteEntry
from assistant.conversation.sentences import bird_name, species_name
from assistant.conversation.state import Draft, Question, Setting, State
from assistant.conversation.turn import Facts, Reply, Status, Turn
from assistant.dosing.medicine import Medicine
from assistant.dosing.quantities import decimal_text
from assistant.dosing.species import Species
from assistant.language.requests import Bag, Intent, Named, Weight

Step = tuple[State, Turn]


@dataclass(frozen=True, slots=True)
class Moment:
    """What a step is taken in: the setting, the time, and what the utterance was meant as."""

    setting: Setting
    at: datetime
    intent: Intent | None = Intent.DOSE


def ask(state: State, moment: Moment, question: Question, said: str) -> Step:
    """Put a question, and remember it with the draft that waits for the answer."""
    reply = Reply(said)
    facts = known_facts(question.draft, state)
    turn = Turn(Status.ASKED, moment.intent, reply, reason=question.ask.value, facts=facts)
    return replace(state, question=question, repeatable=reply), turn


def refuse(state: State, moment: Moment, draft: Draft | None, refusal: tuple[str, str]) -> Step:
    """Say no dose, with the reason word and the sentence, and drop the draft."""
    reason, said = refusal
    reply = Reply(said)
    turn = Turn(Status.ASKED, moment.intent, reply, reason, known_facts(draft, state))
    return replace(state, question=None, repeatable=reply), turn


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


def known_facts(draft: Draft | None, state: State) -> Facts:
    """What a draft holds so far: the species and the weight, each only where it is settled."""
    if draft is None:
        return Facts()
    one = draft.named[0] if len(draft.named) == 1 else None
    grams = net_grams(draft.weights[0], state) if len(draft.weights) == 1 else None
    return Facts(
        species=species_name(one) if one else None,
        bird=bird_name(one),
        grams=grams,
        medicine=state.medicine.name if state.medicine else None,
    )


def net_grams(weight: Weight, state: State) -> Decimal | None:
    """The weight of the bird alone; None where unit or bag is still open."""
    if weight.grams is None:
        return None
    if weight.bag is Bag.WITHOUT:
        return weight.grams
    if weight.bag is Bag.WITH:
        return None if state.tare_g is None else weight.grams - state.tare_g
    return weight.grams - (state.tare_g or 0)


def off_the_bag(weight: Weight, state: State) -> str:
    """What was taken off a weight, as a sentence before it, such as "107 less 12 for the bag. "."""
    net = net_grams(weight, state)
    if weight.grams is None or net in (None, weight.grams) or state.tare_g is None:
        return ""
    return f"{decimal_text(weight.grams)} less {decimal_text(state.tare_g)} for the bag. "


def chosen(state: State) -> Medicine:
    """The medicine of the round; LookupError where nobody asked for it first."""
    if state.medicine is None:
        raise LookupError("a dose was worked out before a medicine was chosen")
    return state.medicine


def species_of(one: Named, setting: Setting) -> Species:
    """The species of a bird, or the species itself."""
    return one if isinstance(one, Species) else setting.lexicon.aviary.species(one.species)
