"""The bag that a bird is weighed in: what it weighs, read back, and asked about when it changes."""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.drafting import advance
from assistant.conversation.moment import Moment, Step, ask, noted, said
from assistant.conversation.sentences import grams_text
from assistant.conversation.state import Ask, Draft, Question, State
from assistant.conversation.turn import Reply
from assistant.dosing.quantities import decimal_text
from assistant.language.requests import TareSaid


def set_tare(state: State, moment: Moment, wanted: TareSaid) -> Step:
    """What the bag weighs, read back; a change is asked about before it counts."""
    if wanted.weight is None:
        return noted(_without_bag(state, moment), moment, "tare", "none")
    grams = wanted.weight.grams
    draft = _waiting_for_bag(state)
    if grams is None:
        text = f"The bag, {wanted.weight.said} what? Say its weight with the unit, such as grams."
        return ask(state, moment, Question(Ask.UNIT, draft, (wanted,)), text)
    if grams == 0:
        return set_tare(state, moment, TareSaid(None))
    if state.tare_g is not None and state.tare_g != grams:
        question = Question(Ask.BAG_CHANGED, draft, (wanted,))
        text = f"The bag was {grams_text(state.tare_g)}, now {grams_text(grams)}. Is that right?"
        return ask(state, moment, question, text)
    return put_tare(state, moment, wanted)


def _without_bag(state: State, moment: Moment) -> Step:
    """No bag from now on; a bird goes on whose bag was in doubt."""
    text, draft = "No bag: weights are of the bird alone.", _waiting_for_bag(state)
    after = replace(_known(state), tare_g=None)
    if draft is None or not state.sitting.bag_in_doubt:
        return said(after, moment, text)
    return _onward(replace(after, question=None), moment, draft, text)


def _known(state: State) -> State:
    """The state in which the bag is in doubt no more; nor is it asked about by itself."""
    asked = state.asked(Ask.TARE)
    question = None if asked and asked.draft is None else state.question
    return replace(state, question=question, sitting=replace(state.sitting, bag_in_doubt=False))


def _waiting_for_bag(state: State) -> Draft | None:
    """The bird whose bag was asked about."""
    asked = state.asked(Ask.TARE) or state.asked(Ask.BAG_CHANGED) or state.asked(Ask.UNIT)
    return asked.draft if asked and (asked.ask is Ask.TARE or asked.options) else None


def put_tare(state: State, moment: Moment, wanted: TareSaid) -> Step:
    """The tare, taken; a bird whose bag was asked about goes on."""
    grams = wanted.weight.grams if wanted.weight else None
    if grams is None:
        return said(state, moment, "No bag.")
    text = f"Bag, {grams_text(grams)}: taken off each weight from now on."
    draft = _waiting_for_bag(state)
    after = replace(_known(state), tare_g=grams)
    if draft is not None:
        step = _onward(replace(after, question=None), moment, draft, text)
    else:
        settled = state.asked(Ask.BAG_CHANGED) or state.asked(Ask.UNIT)
        step = said(replace(after, question=None) if settled else after, moment, text)
    return noted(step, moment, "tare", f"{decimal_text(grams)} g")


def _onward(state: State, moment: Moment, draft: Draft, text: str) -> Step:
    """What was settled, and the waiting bird's turn in the same reply."""
    after, turn = advance(state, moment, draft)
    reply = Reply(f"{text} {turn.reply.said}", f"{text}\n{turn.reply.for_eye}")
    return replace(after, repeatable=reply), replace(turn, reply=reply)


def say_tare(state: State, moment: Moment) -> Step:
    """What is taken off for the bag."""
    if state.tare_g is None:
        return said(state, moment, "No bag is set. Say, bag is twelve.")
    return said(state, moment, f"The bag is {grams_text(state.tare_g)}.")
