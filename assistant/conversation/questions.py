"""Answers to the open question: what settles it, and what leaves it open."""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.drafting import advance, round_question
from assistant.conversation.ending import end_dose
from assistant.conversation.moment import Moment, Step, ask
from assistant.conversation.rounds import noted, put_tare, said
from assistant.conversation.sentences import either, named
from assistant.conversation.state import Ask, Draft, Question, State
from assistant.conversation.wanting import fix_weight
from assistant.language.requests import (
    DoseWanted,
    Named,
    Plain,
    Request,
    TareSaid,
    Weight,
    WeightFixed,
)

_FOR_WEIGHT = frozenset(
    {Ask.NO_WEIGHT, Ask.TWO_WEIGHTS, Ask.UNIT, Ask.GUESS, Ask.ODD_WEIGHT, Ask.WHICH_READING}
)


def answer_question(
    state: State, request: Request, moment: Moment
) -> Step | tuple[State, Request] | None:
    """The step that an answer leads to, the request that it stands for, or None: no answer."""
    question = state.question
    if question is None:
        return None
    if question.ask is Ask.MEANT and request == Plain("yes"):
        return replace(state, question=None), question.options[0]
    match request:
        case DoseWanted(named=(), weights=(_, *_), another=False):
            return _weight_alone(state, question, request.weights, moment)
        case DoseWanted(named=(_, *_), weights=()):
            return _bird_alone(state, question, request.named, moment)
        case WeightFixed(weight) if question.draft and question.ask in _FOR_WEIGHT:
            return _with_weights(state, question.draft, (weight,), moment)
        case Plain("correction") if question.ask is Ask.CORRECTION and question.draft:
            return _correct(state, question.draft, moment)
        case Plain("next") if question.ask is Ask.CORRECTION and question.draft:
            return advance(replace(state, question=None), moment, question.draft)
        case DoseWanted():
            return _another_bird(state, question, request, moment)
    return None


def _weight_alone(
    state: State, question: Question, weights: tuple[Weight, ...], moment: Moment
) -> Step | None:
    draft = question.draft
    if draft is None or not draft.named or question.ask not in _FOR_WEIGHT:
        return None
    return _with_weights(state, draft, weights, moment)


def _with_weights(state: State, draft: Draft, weights: tuple[Weight, ...], moment: Moment) -> Step:
    """A new weight is a new weight: what was settled about the old one is open again."""
    fresh = replace(draft, weights=weights, settled=draft.settled - _FOR_WEIGHT)
    return advance(replace(state, question=None), moment, fresh)


def _bird_alone(
    state: State, question: Question, birds: tuple[Named, ...], moment: Moment
) -> Step | None:
    draft = question.draft
    if draft is None or question.ask not in (Ask.WHICH_BIRD, Ask.CORRECTION):
        return None
    narrowed = tuple(one for one in birds if one in draft.named) or birds
    fresh = replace(draft, named=narrowed, spoken=either(named(one) for one in narrowed))
    return advance(replace(state, question=None), moment, fresh)


def _another_bird(
    state: State, question: Question, wanted: DoseWanted, moment: Moment
) -> Step | None:
    """A whole new bird while an open dose is asked about: it waits, and the question stays."""
    if question.ask is not Ask.OPEN_DOSE or not wanted.named:
        return None
    draft = Draft(wanted.named, wanted.spoken, wanted.weights)
    return advance(state, moment, draft)


def _correct(state: State, draft: Draft, moment: Moment) -> Step:
    return fix_weight(replace(state, question=None), draft.weights[0], moment)


def yes(state: State, moment: Moment) -> Step:
    """Yes to the open question."""
    question = state.question
    if question is None:
        return _yes_to_nothing(state, moment)
    match question.ask:
        case Ask.ROUND:
            return _begin(state, moment, question)
        case Ask.OPEN_DOSE:
            return end_dose(state, moment, "given")
        case Ask.GUESS | Ask.ODD_WEIGHT | Ask.CAUTION if question.draft:
            settled = question.draft.settled | {question.ask}
            draft = replace(question.draft, settled=settled)
            return advance(replace(state, question=None), moment, draft)
        case Ask.BAG_CHANGED if isinstance(question.options[0], TareSaid):
            return put_tare(replace(state, question=None), moment, question.options[0])
    return _again(state, moment, question)


def _yes_to_nothing(state: State, moment: Moment) -> Step:
    if state.pending is not None:
        return said(state, moment, "When all of it went in, say given.", "nothing_asked")
    return said(state, moment, "Nothing was asked.", "nothing_asked")


def _begin(state: State, moment: Moment, question: Question) -> Step:
    if state.medicine is None:
        return said(state, moment, round_question(state), "no_medicine")
    begun = replace(state, begun=True, unsaid=0, question=None)
    if question.draft is not None:
        step = advance(begun, moment, question.draft)
    else:
        step = said(begun, moment, f"{state.medicine.name}. Ready. Say a bird and its weight.")
    return noted(step, moment, "round", round_question(state))


def _again(state: State, moment: Moment, question: Question) -> Step:
    """A yes that does not settle it: say what would."""
    wanted = {
        Ask.NO_WEIGHT: "Say the weight in grams.",
        Ask.UNIT: "Say the weight with its unit.",
        Ask.TARE: "Say, bag is twelve.",
        Ask.NEEDLE: "Say new needle, needle is full, or rinsed the needle.",
        Ask.FLUSHED: "Say new needle, or rinsed the needle.",
        Ask.CORRECTION: "Say correction, or next bird.",
    }
    text = wanted.get(question.ask, "Say which one.")
    return ask(state, replace(moment), question, text)


def no(state: State, moment: Moment) -> Step:
    """No to the open question."""
    question = state.question
    if question is None:
        text = "Say the right weight, or scratch that." if state.pending else "Nothing was asked."
        return said(state, moment, text, "nothing_asked")
    match question.ask:
        case Ask.OPEN_DOSE:
            return end_dose(state, moment, "not_given")
        case Ask.ROUND:
            text = "Say switch medicine, new needle, needle is full, or rinsed the needle."
            return ask(state, moment, question, text)
        case Ask.GUESS | Ask.ODD_WEIGHT if question.draft:
            draft = replace(question.draft, weights=())
            return advance(replace(state, question=None), moment, draft)
        case Ask.BAG_CHANGED:
            return said(replace(state, question=None), moment, "The bag stays as it was.")
        case Ask.CORRECTION if question.draft:
            return ask(state, moment, question, "Say correction, or next bird.")
    return said(replace(state, question=None), moment, "Dropped. Say a bird and its weight.")
