"""Answers to the open question: what settles it, and what leaves it open."""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.bag import put_tare, set_tare
from assistant.conversation.cages import at_cage
from assistant.conversation.drafting import advance, needle_question, no_medicine, round_question
from assistant.conversation.ending import end_dose
from assistant.conversation.fitness import LIGHT
from assistant.conversation.moment import Moment, Step, ask, noted, said
from assistant.conversation.putting_right import (
    OTHER,
    put_right,
    weight_afterwards,
    whose_it_was,
)
from assistant.conversation.rivals import with_birds, with_weights
from assistant.conversation.sentences import grams_text, rival_weights
from assistant.conversation.settling import OF_FITNESS, settle
from assistant.conversation.state import Ask, Draft, Question, State
from assistant.conversation.stocking import LATER, MEASURE, measured_said
from assistant.conversation.wanting import FIX, fix_weight
from assistant.dosing.limits import unconfirmed
from assistant.language.numerals import is_number_word
from assistant.language.reading import in_grams
from assistant.language.requests import (
    CageSaid,
    DoseWanted,
    Intent,
    Named,
    Plain,
    Request,
    TareSaid,
    UnitSaid,
    VolumeSaid,
    Weight,
    WeightFixed,
)

_NO_BIRD_S_WEIGHT = frozenset({Ask.OPEN_DOSE, Ask.CORRECTION, Ask.TARE, Ask.BAG_CHANGED})
"""Questions to which a bare number is not the weight of the bird in the draft."""

_ABOUT_WEIGHT = frozenset(
    {
        *(Ask.NO_WEIGHT, Ask.TWO_WEIGHTS, Ask.UNIT, Ask.GUESS, Ask.ODD_WEIGHT, Ask.WHICH_READING),
        *(Ask.HEARD, Ask.LIGHT),
    }
)

_NARROWED = frozenset({Ask.WHICH_BIRD, Ask.CORRECTION, Ask.MEANT, Ask.HEARD})
"""Questions to which the name of a bird is an answer, and the weight that was said stays.  They say
that weight aloud, where there is one."""

_SAYS_BIRD = _ABOUT_WEIGHT | {Ask.MEANT, Ask.CAUTION}
"""Questions that say the bird aloud, where there is but one."""


def answer_question(
    state: State, request: Request, moment: Moment
) -> Step | tuple[State, Request] | None:
    """The step that an answer leads to, the request that it stands for, or None: no answer."""
    question = state.question
    if question is None:
        return None
    match request:
        case Plain("yes") if question.ask is Ask.MEANT:
            return replace(state, question=question.behind), question.options[0]
        case DoseWanted(unusual=None) if question.ask is Ask.OTHER_BIRD:
            return whose_it_was(state, request, moment)
        case DoseWanted(unusual=None, medicine=""):
            return _dose(state, question, request, moment)
        case WeightFixed(weight, instead) if instead is None or _is_of(question, instead):
            return _weight(state, question, (weight,), moment)
        case UnitSaid(unit) if question.ask is Ask.UNIT:
            return _unit(state, question, unit, moment)
        case Plain("correction" | "next") if question.ask is Ask.CORRECTION and question.draft:
            return _correction(state, question.draft, request, moment)
    return None


def _is_of(question: Question, instead: Weight) -> bool:
    """Whether a weight that was said to be wrong is that of the bird that is asked about."""
    weights = question.draft.weights if question.draft else ()
    return any(one.grams == instead.grams for one in weights)


def _dose(state: State, question: Question, wanted: DoseWanted, moment: Moment) -> Step | None:
    if not wanted.named and wanted.weights and not wanted.another:
        return _weight(state, question, wanted.weights, moment)
    if wanted.named and not wanted.weights:
        return _bird(state, question, wanted.named, moment)
    return None


def _weight(
    state: State, question: Question, weights: tuple[Weight, ...], moment: Moment
) -> Step | None:
    """A weight alone, where it belongs to the bag, to the open dose or to the waiting bird."""
    draft = question.draft
    if question.ask is Ask.MEASURED:
        return _pot(state, weights, moment)
    if question.ask in (Ask.TARE, Ask.BAG_CHANGED) or _asks_for_bag(question):
        return _bag(state, question, weights, _of_bag(moment, question))
    if question.ask is Ask.FIX:
        return fix_weight(state, weights, moment)
    if draft is None or not draft.named:
        return None
    if question.ask is Ask.OPEN_DOSE and not draft.weights:
        # the waiting bird had no weight yet, so this is its weight
        told = with_weights(draft, weights, bird_said=False)
        return advance(state, moment, told)
    if question.ask in _NO_BIRD_S_WEIGHT:
        return None
    # what was settled about the old weight is open again
    told = with_weights(draft, weights, bird_said=question.ask in _SAYS_BIRD)
    fresh = replace(told, settled=draft.settled - _ABOUT_WEIGHT)
    return advance(replace(state, question=None), moment, fresh)


def _bag(state: State, question: Question, weights: tuple[Weight, ...], moment: Moment) -> Step:
    """What the bag weighs; of several weights it is asked which."""
    if len(weights) > 1:
        return ask(state, moment, question, f"The bag: {rival_weights(weights)}?")
    return set_tare(state, moment, TareSaid(weights[0]))


def _of_bag(moment: Moment, question: Question) -> Moment:
    """The moment of an answer about the bag alone; with a bird behind it, it is about a dose."""
    return moment if question.draft else replace(moment, intent=Intent.TARE)


def _asks_for_bag(question: Question) -> bool:
    return question.ask is Ask.UNIT and bool(question.options)


def _bird(
    state: State, question: Question, birds: tuple[Named, ...], moment: Moment
) -> Step | None:
    draft = question.draft
    if draft is None:
        return None
    narrowed = tuple(one for one in birds if one in draft.named)
    waits = question.ask is Ask.OPEN_DOSE and narrowed and len(draft.named) > 1
    if question.ask not in _NARROWED and not waits:
        return None
    birds = narrowed or birds
    told = with_birds(draft, birds, weight_said=question.ask in _NARROWED)
    fresh = replace(told, spoken="")
    return advance(state if waits else replace(state, question=None), moment, fresh)


def _unit(state: State, question: Question, unit: str, moment: Moment) -> Step | None:
    """The unit that a bare decimal was asked for."""
    if question.options and isinstance(bag := question.options[0], TareSaid) and bag.weight:
        settled = TareSaid(_in_unit(bag.weight, unit))
        return set_tare(state, _of_bag(moment, question), settled)
    if question.draft is None or len(question.draft.weights) != 1:
        return None
    weights = (_in_unit(question.draft.weights[0], unit),)
    fresh = with_weights(question.draft, weights, bird_said=True)
    return advance(replace(state, question=None), moment, fresh)


def _pot(state: State, weights: tuple[Weight, ...], moment: Moment) -> Step:
    """A bare number after the pot was asked about is mL; one with a unit of weight is none."""
    bare = [one.amount for one in weights if is_number_word(one.said.split()[-1])]
    if len(bare) != 1:
        return ask(state, moment, state.question or Question(Ask.MEASURED), MEASURE)
    return measured_said(state, moment, VolumeSaid(bare[0]))


def _in_unit(weight: Weight, unit: str) -> Weight:
    return replace(weight, grams=in_grams(weight.amount, unit), said=f"{weight.said} {unit}")


def _correction(state: State, draft: Draft, request: Plain, moment: Moment) -> Step:
    settled = replace(state, question=None)
    if request.kind == "next":
        return advance(settled, moment, draft)
    if settled.open_dose is None and len(draft.weights) == 1:
        return put_right(settled, WeightFixed(draft.weights[0]), moment)
    return fix_weight(settled, draft.weights, moment)


def correct(state: State, moment: Moment) -> Step:
    """The word correction by itself: ask for the right weight of the open dose."""
    if state.open_dose is None:
        text = "No dose is open. To correct the last one, say scratch that, then the bird again."
        return said(state, moment, text, "nothing_open")
    return ask(state, moment, Question(Ask.FIX), FIX)


def yes(state: State, moment: Moment) -> Step:
    """Yes to the open question."""
    question = state.question
    if question is None:
        return _yes_to_nothing(state, moment)
    if question.draft and question.ask in OF_FITNESS:
        return settle(state, moment, question.draft, yes=True)
    match question.ask:
        case Ask.ROUND:
            return _begin(state, moment, question)
        case Ask.OPEN_DOSE:
            return end_dose(state, moment, "given")
        case Ask.GUESS | Ask.ODD_WEIGHT | Ask.CAUTION | Ask.HEARD if question.draft:
            # each of these said the bird; all but the caution, which comes last, its weight too
            settled = question.draft.settled | {question.ask}
            draft = replace(question.draft, settled=settled, unsure=frozenset())
            return advance(replace(state, question=None), moment, draft)
        case Ask.AFTERWARDS:
            return weight_afterwards(state, moment)
        case Ask.CAGE_COUNT if isinstance(question.options[0], CageSaid):
            return at_cage(state, moment, question.options[0])
        case Ask.BAG_CHANGED if isinstance(question.options[0], TareSaid):
            return put_tare(state, moment, question.options[0])
    return _again(state, moment, question)


NOTHING_ASKED = "No question is open. Say a bird and its weight."


def _yes_to_nothing(state: State, moment: Moment) -> Step:
    if state.open_dose is not None:
        return said(state, moment, "When all of it went in, say given.", "nothing_asked")
    return said(state, moment, NOTHING_ASKED, "nothing_asked")


def _begin(state: State, moment: Moment, question: Question) -> Step:
    if state.medicine is None:
        return said(state, moment, no_medicine(moment.setting), "no_medicine")
    if refusal := unconfirmed(state.medicine):
        return said(state, moment, round_question(state), refusal.reason.value)
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
        Ask.TWO_WEIGHTS: "Say the right weight.",
        Ask.UNIT: "Say grams, kilos, ounces or pounds.",
        Ask.TARE: "Say, bag is twelve.",
        Ask.FLUSHED: "Say new needle, or rinsed the needle.",
        Ask.NEEDLE_CHANGED: needle_question(state),
        Ask.LIGHT: LIGHT,
        Ask.OTHER_BIRD: OTHER,
        Ask.CORRECTION: "Say correction, or next bird.",
        Ask.FIX: FIX,
        Ask.MEASURED: MEASURE,
    }
    nothing_named = question.ask is Ask.WHICH_BIRD and not (question.draft and question.draft.named)
    text = "Say its species and its weight." if nothing_named else "Say which one."
    return ask(state, moment, question, wanted.get(question.ask, text))


def _no_to_nothing(state: State, moment: Moment) -> Step:
    if state.open_dose is not None:
        return ask(state, moment, Question(Ask.FIX), FIX)
    return said(state, moment, NOTHING_ASKED, "nothing_asked")


def no(state: State, moment: Moment) -> Step:
    """No to the open question."""
    question = state.question
    if question is None:
        return _no_to_nothing(state, moment)
    if question.draft and question.ask in OF_FITNESS:
        return settle(state, moment, question.draft, yes=False)
    match question.ask:
        case Ask.OPEN_DOSE:
            return end_dose(state, moment, "not_given")
        case Ask.ROUND:
            text = "Say switch medicine, new needle, needle is full, or rinsed the needle."
            return ask(state, moment, question, text)
        case Ask.GUESS | Ask.ODD_WEIGHT if question.draft:
            draft = replace(question.draft, weights=())
            return advance(replace(state, question=None), moment, draft)
        case Ask.HEARD:
            text = "Dropped. Say the bird, and its weight digit by digit."
            return said(replace(state, question=None), moment, text)
        case Ask.MEANT if question.behind is not None or state.open_dose is not None:
            return said(replace(state, question=question.behind), moment, "Then say it again.")
        case Ask.BAG_CHANGED if state.tare_g is not None:
            text = f"The bag stays at {grams_text(state.tare_g)}."
            return said(replace(state, question=None), moment, text)
        case Ask.CORRECTION | Ask.FIX | Ask.FLUSHED | Ask.NEEDLE_CHANGED | Ask.LIGHT:
            return _again(state, moment, question)
    text = LATER if question.ask is Ask.MEASURED else "Dropped. Say a bird and its weight."
    return said(replace(state, question=question.behind), moment, text)
