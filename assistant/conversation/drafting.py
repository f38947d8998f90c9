"""From a draft to a dose: the questions, in their order, that stand between a bird and a volume."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.conversation.answering import answer
from assistant.conversation.dose_reply import FICTIONAL
from assistant.conversation.fitness import about_age, about_lightness, about_this_bird
from assistant.conversation.moment import (
    Moment,
    Step,
    ask,
    known_facts,
    net_grams,
    off_the_bag,
    refuse,
    species_of,
)
from assistant.conversation.pot import batch_words, stale
from assistant.conversation.rivals import weight_settles_more
from assistant.conversation.sentences import (
    either,
    grams_text,
    ml,
    named,
    rival_weights,
    usual_range,
    weight_text,
)
from assistant.conversation.state import Ask, Draft, Question, Setting, State
from assistant.dosing.limits import expired, implausible_weight, unconfirmed
from assistant.dosing.needle import NeedleState
from assistant.dosing.quantities import decimal_text
from assistant.dosing.refusal import Reason
from assistant.dosing.species import Plausibility
from assistant.language.requests import Bag, Named

ENDS_SAID = "Say given, part given, not given or don't know."
"""The four ends of a dose."""

FLUSH = (
    "Take a new syringe and a new needle, or rinse both. Then say new needle, or rinsed the needle."
)
"""What a change of medicine asks for before any dose."""

WHICH_BAG = "What does the bag weigh? Say, bag is twelve, or no bag."
"""What is asked where it may be another bag, or none."""

CHANGED = "Was the needle changed? Say new needle, rinsed the needle, or needle is full."
FOUL = (
    "Not with this needle: it was in a bird that may be ill. Say new needle, or rinsed the needle."
)
"""What is asked before the next dose, once it was said to change the needle."""


def advance(state: State, moment: Moment, draft: Draft) -> Step:
    """The next question for this draft, or its dose."""
    return (
        _open_dose(state, moment, draft)
        or _about_bird(state, moment, draft)
        or about_age(state, moment, draft)
        or _about_weight(state, moment, draft)
        or _about_hearing(state, moment, draft)
        or _about_round(state, moment, draft)
        or about_this_bird(state, moment, draft)
        or answer(state, moment, draft)
    )


def _open_dose(state: State, moment: Moment, draft: Draft) -> Step | None:
    open_dose = state.open_dose
    if open_dose is None or moment.setting.one_shot or draft.corrected:
        return None
    who = open_dose.bird or open_dose.species
    said = f"Wait. The {ml(open_dose.volume_ml)} for {who} is still open. Was it given? {ENDS_SAID}"
    return ask(state, moment, Question(Ask.OPEN_DOSE, draft), said)


def _about_bird(state: State, moment: Moment, draft: Draft) -> Step | None:
    if len(draft.named) == 1:
        return None
    if draft.named and weight_settles_more(draft):
        said = f"{rival_weights(draft.weights)}?"
        return ask(state, moment, Question(Ask.TWO_WEIGHTS, draft), said)
    heard = f"{draft.weights[0].said}. " if len(draft.weights) == 1 else ""
    if not draft.named:
        said = f"{heard.capitalize()}Which bird? Say its species and its weight."
    else:
        names = either(named(one) for one in _likely(draft, state, moment.setting))
        said = f"{names}?"
        if draft.unsure and len(draft.weights) == 1:
            said = f"{weight_text(draft.weights[0])}: {said}"
        elif not draft.unsure:
            said = f"Which bird: {names}?"
            if draft.spoken:
                said = f"{draft.spoken.capitalize()} can be several birds. Which: {names}?"
    return ask(state, moment, Question(Ask.WHICH_BIRD, draft), said)


def _likely(draft: Draft, state: State, setting: Setting) -> tuple[Named, ...]:
    """The birds to offer: those that can weigh so much, or all where that leaves no choice."""
    grams = net_grams(draft.weights[0], state) if len(draft.weights) == 1 else None
    if grams is None:
        return draft.named
    able = tuple(one for one in draft.named if _can_weigh(one, grams, setting))
    return able if len(able) > 1 else draft.named


def _can_weigh(one: Named, grams: Decimal, setting: Setting) -> bool:
    return species_of(one, setting).judge(grams) is not Plausibility.REFUSE


def _about_weight(state: State, moment: Moment, draft: Draft) -> Step | None:
    return _missing_weight(state, moment, draft) or _doubtful_weight(state, moment, draft)


def _missing_weight(state: State, moment: Moment, draft: Draft) -> Step | None:
    one = draft.named[0]
    who = named(one)
    if not draft.weights:
        usual = usual_range(species_of(one, moment.setting))
        said = f"{who}: what does it weigh? Usually {usual}; weigh this bird."
        return ask(state, moment, Question(Ask.NO_WEIGHT, draft), said)
    if len(draft.weights) > 1:
        heard = dict.fromkeys(weight.said for weight in draft.weights)
        said = f"{who}: {rival_weights(draft.weights)}?"
        if len(heard) == 1:
            said = f"{who}: {either(heard)}, said more than once. Say the whole weight once."
        return ask(state, moment, Question(Ask.TWO_WEIGHTS, draft), said)
    weight = draft.weights[0]
    if weight.grams is None:
        amount = decimal_text(weight.amount)
        said = (
            f"{who}, {amount} what? Say the weight with its unit: grams, kilos, ounces or pounds."
        )
        return ask(state, moment, Question(Ask.UNIT, draft), said)
    if weight.bag is Bag.WITH and state.tare_g is None:
        said = f"{who} with the bag: what does the bag weigh? Say, bag is twelve."
        return ask(state, moment, Question(Ask.TARE, draft), said)
    if state.sitting.bag_in_doubt and weight.bag is not Bag.WITHOUT:
        return ask(state, moment, Question(Ask.TARE, draft), f"{who}, {weight.said}. {WHICH_BAG}")
    return None


def _doubtful_weight(state: State, moment: Moment, draft: Draft) -> Step | None:
    one, weight = draft.named[0], draft.weights[0]
    species = species_of(one, moment.setting)
    net = net_grams(weight, state)
    if net is None or net <= 0:
        said = f"{named(one)}: the weight must be above zero. Weigh it again."
        return _weigh_again(state, moment, replace(draft, weights=()), said)
    if refusal := implausible_weight(species, net, moment.setting.kit.scale_step_g):
        said = f"{off_the_bag(weight, state)}{refusal.said}"
        return _weigh_again(state, moment, draft, said)
    if weight.guessed and Ask.GUESS not in draft.settled:
        shown = f"{grams_text(weight.grams or net)} for {named(one)}"
        said = f"Does the scale show {shown}? Say yes, or the weight."
        return ask(state, moment, Question(Ask.GUESS, draft), said)
    if step := about_lightness(state, moment, draft, net):
        return step
    heavy = species.judge(net) is Plausibility.ASK and net > species.high_g
    if heavy and Ask.ODD_WEIGHT not in draft.settled:
        said = (
            f"{off_the_bag(weight, state)}{named(one)}, {grams_text(net)}? "
            f"Usually {usual_range(species)}. "
            "Say yes if the scale shows that, or the right weight."
        )
        return ask(state, moment, Question(Ask.ODD_WEIGHT, draft), said)
    return None


def _weigh_again(state: State, moment: Moment, draft: Draft, said: str) -> Step:
    """Refuse the weight, and wait for another one for this bird."""
    waiting = Question(Ask.NO_WEIGHT, replace(draft, weights=()))
    after, turn = ask(state, moment, waiting, said)
    facts = known_facts(draft, state)
    return after, replace(turn, reason=Reason.WEIGHT.value, facts=facts)


def _about_hearing(state: State, moment: Moment, draft: Draft) -> Step | None:
    """The one bird and weight that are left, where no sure word has confirmed both."""
    if not draft.unsure:
        return None
    # words before the bird keep its echo from being heard as a request
    said = f"Did you say {named(draft.named[0])}, {weight_text(draft.weights[0])}?"
    return ask(state, moment, Question(Ask.HEARD, draft), said)


def _about_round(state: State, moment: Moment, draft: Draft) -> Step | None:
    setting = moment.setting
    if state.medicine is None:
        said = no_medicine(setting)
        return refuse(state, moment, draft, ("no_medicine", said))
    if refusal := unconfirmed(state.medicine):
        said = f"{refusal.said} {CONFIRM}"
        return refuse(state, moment, draft, (refusal.reason.value, said))
    # a pot ends with the bottle that it was made from, which need not be that of the file
    bottle = None if state.stock.book else expired(state.medicine, moment.at.date())
    if bottle:
        said = f"{bottle.said} {NEW_BOTTLE}"
        return refuse(state, moment, draft, (bottle.reason.value, said))
    if setting.one_shot:
        return None
    if state.needle_state is NeedleState.UNKNOWN:
        return ask(state, moment, Question(Ask.FLUSHED, draft), FLUSH)
    if state.sitting.told_to_change:
        return ask(state, moment, Question(Ask.NEEDLE_CHANGED, draft), needle_question(state))
    if old := stale(state, moment.at):
        return refuse(state, moment, draft, ("out_of_date", old))
    due = state.unsaid >= setting.kit.remind_every
    if not state.begun or due:
        return ask(state, moment, Question(Ask.ROUND, draft), round_question(state))
    return None


def needle_question(state: State) -> str:
    """What is asked where the needle has to be changed first."""
    return FOUL if state.sitting.foul_needle else CHANGED


def no_medicine(setting: Setting) -> str:
    """What is said where no medicine is chosen."""
    if not setting.medicines:
        return "No medicine is set up. Run dosewren setup on the computer."
    return f"Which medicine? Say switch to {either(one.name for one in setting.medicines)}."


NEW_BOTTLE = (
    "No dose from it. Write the new bottle's number and date into the medicine's file, "
    "and start again."
)

CONFIRM = "No dose until then: run dosewren confirm on the computer."


def round_question(state: State) -> str:
    """The medicine, its strength and the needle, to be confirmed for the round."""
    if state.medicine is None:
        return "No medicine is chosen."
    if refusal := unconfirmed(state.medicine):
        return f"{refusal.said} {CONFIRM}"
    fictional = f" {FICTIONAL}" if state.medicine.fictional else ""
    shaken = " Shake it before each draw." if state.medicine.is_shaken else ""
    return (
        f"This round: {state.medicine.name}, {state.medicine.said_strength}.{batch_words(state)}"
        f"{shaken}{fictional} "
        f"Needle {state.needle.name}, {_needle_words(state.needle_state)}. Is that right?"
    )


def _needle_words(needle_state: NeedleState) -> str:
    return {
        NeedleState.DRY: "new and dry",
        NeedleState.FULL: "full of this medicine",
        NeedleState.RINSED: "rinsed",
        NeedleState.UNKNOWN: "not yet flushed",
    }[needle_state]
