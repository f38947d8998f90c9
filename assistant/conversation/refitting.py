"""Another needle of the kit, chosen by its gauge or its name."""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.drafting import FLUSH, round_question
from assistant.conversation.moment import Moment, Step, ask, noted, said
from assistant.conversation.sentences import either
from assistant.conversation.state import Ask, Draft, Question, State
from assistant.conversation.turn import Reply
from assistant.conversation.wanting import NEEDLE_CHANGED, answer_anew
from assistant.dosing.needle import Needle, NeedleState
from assistant.language.lexicon import needle_names
from assistant.language.requests import Bag, NeedleSaid, Weight


def choose_needle(state: State, moment: Moment, wanted: NeedleSaid) -> Step:
    """Fit another needle, taken as dry: what was answered for the one before is void."""
    needle = _meant(state, moment, wanted)
    if needle is None:
        return said(state, moment, _which(moment), "which_needle")
    if needle == state.needle:
        return said(state, moment, f"Needle {needle.name} is the one in use.")
    flushed = state.needle_state is not NeedleState.UNKNOWN
    after = replace(state, needle=needle, sitting=state.sitting.with_clean_needle())
    if flushed:
        after = replace(after, needle_state=NeedleState.DRY)
    return noted(_fitted(after, moment), moment, "needle", needle.name)


def _fitted(state: State, moment: Moment) -> Step:
    """What follows for the round, or for the bird whose dose is open."""
    text = f"Needle {state.needle.name}, dry. Check that it is tight."
    question = state.question
    if state.needle_state is NeedleState.UNKNOWN:
        waiting = Question(Ask.FLUSHED, question.draft if question else None)
        return ask(state, moment, waiting, f"Needle {state.needle.name}. {FLUSH}")
    if question is not None and question.ask is Ask.ROUND:
        return ask(state, moment, question, f"{text} {round_question(state)}")
    if question is not None and question.ask is Ask.NEEDLE_CHANGED and question.draft is None:
        state = replace(state, question=None)
    if state.open_dose is None or state.previous is None:
        # a dose that an earlier round left open may be in its bird already
        return said(state, moment, text)
    return _answered_again(state, moment, f"{text} What was answered before is void.")


def _answered_again(state: State, moment: Moment, text: str) -> Step:
    """The open dose, worked out for this needle; what was asked about the bird stays settled."""
    entry = state.open_dose
    if entry is None or state.previous is None:
        return said(state, moment, text)
    weight = Weight("", entry.grams, entry.grams, Bag.WITHOUT)
    draft = replace(
        state.answered or Draft((state.previous,), entry.species), weights=(weight,),
        corrected=True, settled=frozenset(Ask),
    )  # fmt: skip
    after, turn = answer_anew(state, moment, draft, NEEDLE_CHANGED)
    reply = Reply(f"{text} {turn.reply.said}", f"{text}\n{turn.reply.for_eye}")
    return replace(after, repeatable=reply), replace(turn, reply=reply)


def _meant(state: State, moment: Moment, wanted: NeedleSaid) -> Needle | None:
    """The needle of that name; without a name the other one, where there are but two."""
    if wanted.spoken:
        return moment.setting.lexicon.needle(wanted.spoken)
    others = [one for one in moment.setting.kit.needles if one != state.needle]
    return others[0] if len(others) == 1 else None


def _which(moment: Moment) -> str:
    names: dict[Needle, str] = {}
    for name, needle in needle_names(moment.setting.kit.needles).items():
        names.setdefault(needle, f"{name} needle")
    if not names:
        return "There is no other needle in the kit. Add yours to the kit."
    return f"Which needle? Say {either(names.values())}."
