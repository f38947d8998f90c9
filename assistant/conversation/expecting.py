"""What may be said next in a conversation: the answers to its open question, and what else is near.

What is not listed here can be said all the same: it is what the ears listen for first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from assistant.conversation.moment import species_of
from assistant.conversation.state import Ask, Draft, Question, Setting, State
from assistant.dosing.species import Species
from assistant.language.expected import ANYTHING, Expected, Saying

_FIXED = frozenset({Saying.WEIGHT, Saying.FIX})

_OF_THE_BAG = frozenset({Ask.TARE, Ask.BAG_CHANGED})

_BY_QUESTION: Mapping[Ask, frozenset[Saying]] = {
    Ask.ROUND: frozenset({Saying.YES_NO, Saying.NEEDLE, Saying.MEDICINE}),
    Ask.MEASURED: frozenset({Saying.POT}),
    Ask.NO_WEIGHT: _FIXED,
    Ask.TWO_WEIGHTS: _FIXED,
    Ask.UNIT: _FIXED | {Saying.UNIT},
    Ask.GUESS: _FIXED | {Saying.YES_NO},
    Ask.ODD_WEIGHT: _FIXED | {Saying.YES_NO},
    Ask.HEARD: _FIXED | {Saying.YES_NO},
    Ask.TARE: _FIXED | {Saying.TARE},
    Ask.BAG_CHANGED: _FIXED | {Saying.YES_NO, Saying.TARE},
    Ask.LIGHT: _FIXED | {Saying.CONDITION},
    Ask.VET: frozenset({Saying.YES_NO}),
    Ask.CONDITION: frozenset({Saying.YES_NO}),
    Ask.SECOND: frozenset({Saying.YES_NO}),
    Ask.SAME_BIRD: frozenset({Saying.YES_NO}),
    Ask.CAGE_COUNT: frozenset({Saying.YES_NO, Saying.CAGE}),
    Ask.AFTERWARDS: _FIXED | {Saying.YES_NO},
    Ask.CAUTION: frozenset({Saying.YES_NO}),
    Ask.CORRECTION: frozenset({Saying.CORRECTION}),
    Ask.FIX: _FIXED,
    Ask.FLUSHED: frozenset({Saying.NEEDLE}),
    Ask.NEEDLE_CHANGED: frozenset({Saying.NEEDLE}),
}
"""What answers each question, where that does not hang on what waits for the answer.  While a dose
is open, its end may be told as well."""


def expected(state: State, setting: Setting) -> Expected:
    """What is likely to be said next."""
    answers = _answers(state)
    if not answers.sayings & _FIXED:
        return answers
    return replace(answers, species=_weighed(state, setting))


def _weighed(state: State, setting: Setting) -> tuple[Species, ...]:
    """The species of which one is being weighed; with a bag known, nobody knows what it shows."""
    question = state.question
    if state.tare_g is not None or (question and question.ask in _OF_THE_BAG):
        return ()
    named = question.draft.named if question and question.draft else ()
    if state.open_dose and not named and state.previous:
        named = (state.previous,)
    return tuple(dict.fromkeys(species_of(one, setting) for one in named))


def _answers(state: State) -> Expected:
    if not state.listening:
        return Expected(frozenset({Saying.LISTEN}))
    question = state.question
    if question is None:
        return _after_a_dose(state)
    if question.ask in _BY_QUESTION:
        end = {Saying.END} if state.open_dose else set()
        # who makes up no batches says none, and need not be heard saying one
        batch = {Saying.BATCH} if question.ask is Ask.ROUND and state.stock.shelf else set()
        return Expected(_BY_QUESTION[question.ask] | end | batch, grams=_offered(question))
    match question.ask:
        case Ask.OPEN_DOSE:
            return _what_became_of_it(question)
        case Ask.WHICH_BIRD:
            return _which_bird(question.draft)
        case Ask.MEANT:
            return _meant(question)
        case Ask.OTHER_BIRD:
            return Expected(frozenset({Saying.YES_NO, _of_other(question)}))
        case _:
            return _which_reading(question)


def _after_a_dose(state: State) -> Expected:
    """The end of the dose that was said, or its weight put right; else anything."""
    if state.open_dose is None:
        return ANYTHING
    return Expected(frozenset({Saying.END, Saying.FIX, Saying.PUT_RIGHT}))


def _what_became_of_it(question: Question) -> Expected:
    """The end of the open dose; a waiting bird may get its weight, or be told from others."""
    sayings, draft = {Saying.END, Saying.YES_NO}, question.draft
    if draft is None:
        return Expected(frozenset(sayings))
    if draft.named and not draft.weights:
        sayings.add(Saying.WEIGHT)
    if len(draft.named) > 1:
        return Expected(frozenset({*sayings, Saying.BIRD}), draft.named)
    return Expected(frozenset(sayings))


def _of_other(question: Question) -> Saying:
    """The bird that had a dose, and once that is told, its weight."""
    return Saying.WEIGHT if question.options else Saying.BIRD


def _which_bird(draft: Draft | None) -> Expected:
    """The bird alone, where its weight or several birds are known; else a whole request."""
    if draft is None or not (draft.named or draft.weights):
        return ANYTHING
    return Expected(frozenset({Saying.BIRD}), draft.named)


def _meant(question: Question) -> Expected:
    """Yes or no; about a bird also another weight."""
    about_bird = question.draft is not None and question.draft.named
    return Expected(frozenset({Saying.YES_NO}) | (_FIXED if about_bird else frozenset()))


def _which_reading(question: Question) -> Expected:
    """One of the weights; where the readings differ in more, the whole is said again."""
    if question.draft is None or not question.draft.named:
        return ANYTHING
    return Expected(_FIXED, grams=_offered(question))


def _offered(question: Question) -> tuple[Decimal, ...]:
    """The weights between which a question lets choose, in grams as they are said."""
    weights = question.draft.weights if question.draft else ()
    if question.ask not in (Ask.TWO_WEIGHTS, Ask.WHICH_READING):
        return ()
    return tuple(dict.fromkeys(one.grams for one in weights if one.grams is not None))
