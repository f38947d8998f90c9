"""What words that were not followed may have told of the needle, of the bag or of the medicine.

They are not acted on, and neither are they lost: before the next dose it is asked what is in the
needle, what the bag weighs, or whether this is the round's medicine.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.conversation.drafting import WHICH_BAG, needle_question, round_question
from assistant.conversation.moment import Moment, Step, ask
from assistant.conversation.state import Ask, Question, State
from assistant.conversation.turn import Reply, Status, Turn
from assistant.language.heard import Channel, Heard
from assistant.language.lexicon import Lexicon
from assistant.language.numerals import is_number_word
from assistant.language.requests import DoseWanted
from assistant.language.tokens import tokens
from assistant.language.understanding import Doubt, Understanding

_OF_NEEDLE = frozenset(
    {
        *("needle", "needles", "gauge", "tube", "tubes", "cannula", "syringe", "syringes"),
        *("rinse", "rinsed", "rinsing", "wash", "washed", "washing", "flush", "flushed"),
        *("flushing", "blocked", "clogged", "bent"),
    }
)
_OF_BAG = frozenset(
    {
        *("bag", "bags", "box", "boxes", "container", "pouch", "tub", "carrier"),
        *("sack", "cup", "jug", "bucket", "crate"),
    }
)
_OF_SCALE = frozenset({"scale", "scales", "zero", "zeroed", "zeroing", "tare", "tared", "taring"})
_OF_MEDICINE = frozenset({"medicine", "medicines", "medication", "meds", "drug", "wormer"})
_WORDS_LOST = frozenset(
    {Doubt.UNKNOWN_WORD, Doubt.UNKNOWN_UNIT, Doubt.NOT_FOLLOWED, Doubt.NOT_UNDERSTOOD}
    | {Doubt.NEGATIVE, Doubt.TWO_BIRDS}
)
"""The doubts after which some of the words count for nothing."""


def kept_in_mind(
    state: State, heard: Heard, understood: Understanding, moment: Moment
) -> tuple[State, Ask | None]:
    """The state with needle, bag or medicine in doubt, and which, where lost words tell of it.

    Where no bag is taken off, a bag beside no number and no scale is one that a bird is carried in.
    """
    if heard.channel is not Channel.TEXT or understood.doubt not in _WORDS_LOST:
        return state, None
    words = [word.removesuffix("'s") for word in tokens(heard.words)]
    sitting, about = state.sitting, None
    bagged, on_scale = (not told.isdisjoint(words) for told in (_OF_BAG, _OF_SCALE))
    if (bagged and (on_scale or any(map(is_number_word, words)))) or (
        (bagged or on_scale) and state.tare_g is not None
    ):
        sitting, about = replace(sitting, bag_in_doubt=True), Ask.TARE
    if not _OF_NEEDLE.isdisjoint(words):
        sitting, about = replace(sitting, told_to_change=True), Ask.NEEDLE_CHANGED
    unsaid, setting = state.unsaid, moment.setting
    if state.begun and not (_OF_MEDICINE | _names(setting.lexicon)).isdisjoint(words):
        unsaid, about = setting.kit.remind_every, Ask.ROUND
    return replace(state, sitting=sitting, unsaid=unsaid), about


def _names(lexicon: Lexicon) -> frozenset[str]:
    """Each word that tells one of the medicines from another."""
    called: dict[str, set[str]] = {}
    for name, medicine in lexicon.medicines.items():
        called.setdefault(medicine.name, set()).update(name.split())
    each = list(called.values())
    return frozenset(word for words in each for word in words if not all(word in w for w in each))


def can_ask(state: State, understood: Understanding) -> bool:
    """Whether the question can be put at once: a bird, named now or waiting, goes before it."""
    named = any(isinstance(one, DoseWanted) and one.named for one in understood.requests)
    return not named and (state.question is None or state.question.draft is None)


def ask_of(about: Ask, state: State, moment: Moment, text: str) -> Step:
    """Ask about needle, bag or medicine; a question that is open already stays the open one."""
    asked = {Ask.NEEDLE_CHANGED: needle_question(state), Ask.TARE: WHICH_BAG}
    text = f"{text} {asked.get(about) or round_question(state)}"
    if state.question is None:
        return ask(state, moment, Question(about), text)
    return state, Turn(Status.ASKED, moment.intent, Reply(text), about.value)
