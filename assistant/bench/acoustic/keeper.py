"""The keeper of the bench: answers a question by what was really said, as a person would.

- one reading offered, and it is the right one: yes
- several offered, the right one among them: what tells it from the others, a weight figure by
  figure, since that is how one repeats a number that was not heard
- the bird asked for: its full name; the weight asked for: the weight
- anything else, a refusal included: the whole request once more
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from assistant.bench.acoustic.records import Phrase, Truth
from assistant.conversation.state import Ask, Question
from assistant.dosing.names import spoken_form
from assistant.dosing.species import Bird, Species
from assistant.language.numerals import DIGITS
from assistant.language.requests import DoseWanted, Named, Request, Weight

_SAID_AS_IT_IS = frozenset({Ask.NO_WEIGHT, Ask.UNIT})


def answer_to(question: Question | None, phrase: Phrase) -> str:
    """What the keeper says next to somebody who asked this after hearing the phrase."""
    truth = phrase.truth
    if question is None or truth is None:
        return phrase.text
    if question.options:
        return _among(question.options, phrase, truth)
    draft = question.draft
    birds = draft.named if draft else ()
    if question.ask is Ask.WHICH_BIRD or (birds and not _holds_bird(birds, truth)):
        right_weight = draft is not None and _holds_weight(draft.weights, truth)
        return spoken_form(truth.species) if right_weight else phrase.text
    if question.ask in _SAID_AS_IT_IS:
        return phrase.weight
    if draft is not None and len(draft.weights) == 1 and _holds_weight(draft.weights, truth):
        return "yes"
    return figures(phrase, truth)


def _among(options: Iterable[Request], phrase: Phrase, truth: Truth) -> str:
    """The answer to an offer of one reading or several."""
    offers = [one for one in options if isinstance(one, DoseWanted)]
    right = [
        one for one in offers if _holds_bird(one.named, truth) and _holds_weight(one.weights, truth)
    ]
    if not right:
        return phrase.text
    if len(offers) == 1:
        return "yes"
    others = [one for one in offers if one is not right[0]]
    if all(_holds_bird(one.named, truth) for one in others):
        return figures(phrase, truth)
    return spoken_form(truth.species)


def figures(phrase: Phrase, truth: Truth) -> str:
    """The weight figure by figure in grams where it is a whole number of some, else as it was."""
    grams = truth.grams
    if grams != grams.to_integral_value() or grams < Decimal(10):
        return phrase.weight
    said = " ".join("oh" if f == "0" else DIGITS[int(f) - 1] for f in str(int(grams)))
    return f"{said} grams"


def _holds_bird(named: Iterable[Named], truth: Truth) -> bool:
    return any(_species_of(one) == truth.species for one in named)


def _species_of(one: Named) -> str:
    match one:
        case Species(name=name):
            return name
        case Bird(species=species):
            return species


def _holds_weight(weights: Iterable[Weight], truth: Truth) -> bool:
    return any(one.grams == truth.grams for one in weights)
