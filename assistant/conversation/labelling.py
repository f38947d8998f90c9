"""Which utterances turned out to be what, so that their recordings become examples.  Pure.

    answered, then "given" ──────────── right: its own words are what was said
    answered, then another weight ───── the same bird with the weight that was meant
    asked about, then answered ──────── the same, where the answer differs from what was heard
    scratched, then the bird again ──── the same, where bird or weight are those of before

What shares neither bird nor weight with the dose that came of it is taken for other talk and gets
no label.  A keeper who corrects their own slip makes a wrong example; nothing here can tell that.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from assistant.conversation.entries import DoseEnd, DoseEndEntry, DoseEntry
from assistant.conversation.moment import net_grams
from assistant.conversation.sentences import bird_name, species_name
from assistant.conversation.state import State
from assistant.conversation.turn import Status, Turn
from assistant.dosing.names import spoken_form
from assistant.language.lexicon import Lexicon
from assistant.language.numerals import words
from assistant.language.requests import DoseWanted, Intent, Named, Weight, WeightFixed
from assistant.language.understanding import understand

_MOST_OPEN = 4
"""How many utterances before an answer may belong to it: more questions are never asked."""

_GOES_ON = frozenset({None, Intent.DOSE, Intent.YES, Intent.NO})
"""Commands that leave the bird at hand the bird at hand."""


class Sort(StrEnum):
    """How a recording got its text: confirmed by "given", corrected, or read out on purpose."""

    CONFIRMED = "confirmed"
    CORRECTED = "corrected"
    READ = "read"


@dataclass(frozen=True, slots=True)
class Label:
    """What was really said in a recording; without a text, an earlier label no longer holds."""

    file: str
    text: str | None = None
    sort: Sort | None = None


@dataclass(frozen=True, slots=True)
class Utterance:
    """One recording with what it was heard as: the birds and the weights in it, if any."""

    file: str
    words: str
    birds: tuple[Named, ...] = ()
    spoken: str = ""
    weights: tuple[Weight, ...] = ()
    fixes: bool = False


@dataclass(frozen=True, slots=True)
class Answered:
    """A dose that was said, and the utterances that led to it."""

    dose: DoseEntry
    utterances: tuple[Utterance, ...]


@dataclass(frozen=True, slots=True)
class Ledger:
    """What is still waiting for its end: questions, the dose that was said, and a scratched one."""

    asked: tuple[Utterance, ...] = ()
    answered: Answered | None = None
    scratched: Answered | None = None


def utterance(file: str, heard: str, lexicon: Lexicon) -> Utterance:
    """A recording and the words heard in it, read."""
    match understand(heard, lexicon).requests:
        case (DoseWanted() as wanted,):
            return Utterance(file, heard, wanted.named, wanted.spoken, wanted.weights)
        case (WeightFixed(weight),):
            return Utterance(file, heard, weights=(weight,), fixes=True)
    return Utterance(file, heard)


def follow(
    ledger: Ledger, said: Utterance, turn: Turn, state: State
) -> tuple[Ledger, tuple[Label, ...]]:
    """The ledger after a turn, and what it settled; `state` is that after the turn."""
    labels: dict[str, Label] = {}
    for entry in turn.entries:
        if isinstance(entry, DoseEndEntry):
            ledger, found = _ended(ledger, entry, state)
            labels |= found
    dose = next((one for one in turn.entries if isinstance(one, DoseEntry)), None)
    if dose is not None:
        ledger, found = _dosed(ledger, said, dose, state)
        labels |= found
    elif turn.status is Status.ASKED:
        ledger = replace(ledger, asked=(*ledger.asked, said)[-_MOST_OPEN:])
    elif turn.status is Status.COMMAND and turn.intent not in _GOES_ON:
        ledger = replace(ledger, asked=())
    return ledger, tuple(labels.values())


def _ended(ledger: Ledger, end: DoseEndEntry, state: State) -> tuple[Ledger, dict[str, Label]]:
    done = ledger.answered
    if done is None or done.dose.dose_id != end.dose_id:
        return ledger, {}
    match end.end:
        case DoseEnd.GIVEN | DoseEnd.PART_GIVEN:
            return ledger, _settled(done.utterances, done.dose, state)
        case DoseEnd.SCRATCHED:
            undone = {one.file: Label(one.file) for one in done.utterances}
            return replace(ledger, answered=None, scratched=done), undone
    return replace(ledger, answered=None), {}


def _settled(utterances: Iterable[Utterance], dose: DoseEntry, state: State) -> dict[str, Label]:
    return {
        one.file: Label(one.file, one.words, Sort.CONFIRMED)
        if _agrees(one, dose, state)
        else _corrected(one, dose, state)
        for one in utterances
    }


def _dosed(
    ledger: Ledger, said: Utterance, dose: DoseEntry, state: State
) -> tuple[Ledger, dict[str, Label]]:
    """A dose was said: what was heard before it and differs is labelled at once."""
    before = [one for one in ledger.asked if _shares(one, dose, state)]
    if ledger.scratched is not None:
        before[:0] = _again(ledger.scratched, dose, state)
    labels = {
        one.file: _corrected(one, dose, state) for one in before if not _agrees(one, dose, state)
    }
    own = [said] if _holds_anything(said) and _agrees(said, dose, state) else []
    return Ledger(answered=Answered(dose, (*before, *own))), labels


def _again(scratched: Answered, dose: DoseEntry, state: State) -> list[Utterance]:
    """The utterances behind a scratched dose, if the new one is for the same bird or weight."""
    same_bird = (scratched.dose.species, scratched.dose.bird) == (dose.species, dose.bird)
    return [
        one
        for one in scratched.utterances
        if _shares(one, dose, state) or (same_bird and not one.birds)
    ]


def _corrected(one: Utterance, dose: DoseEntry, state: State) -> Label:
    """The words that were meant: the bird as it was called, where that was right, and the weight.

    The weight is that on the scale, with the bag.
    """
    weight = f"{words(dose.grams + (state.tare_g or Decimal(0)))} grams"
    if not one.birds:
        text = f"no {weight}" if one.fixes else weight
    elif _is_bird(one, dose):
        text = f"{one.spoken} {weight}"
    else:
        text = f"{spoken_form((dose.bird or dose.species).partition(' (')[0])} {weight}"
    return Label(one.file, text.lower(), Sort.CORRECTED)


def _holds_anything(one: Utterance) -> bool:
    return bool(one.birds or one.weights)


def _agrees(one: Utterance, dose: DoseEntry, state: State) -> bool:
    """Whether all that was heard in it is what the dose is for."""
    right_bird = not one.birds or _is_bird(one, dose)
    return right_bird and (not one.weights or _is_weight(one, dose, state))


def _shares(one: Utterance, dose: DoseEntry, state: State) -> bool:
    """Whether it holds the bird or the weight that the dose is for."""
    return _is_bird(one, dose) or _is_weight(one, dose, state)


def _is_bird(one: Utterance, dose: DoseEntry) -> bool:
    return any(
        bird_name(bird) == dose.bird if bird_name(bird) else species_name(bird) == dose.species
        for bird in one.birds
    )


def _is_weight(one: Utterance, dose: DoseEntry, state: State) -> bool:
    return len(one.weights) == 1 and net_grams(one.weights[0], state) == dose.grams
