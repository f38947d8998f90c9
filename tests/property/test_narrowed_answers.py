"""Sentences sampled from a narrowed grammar: each is understood, and answers the question."""

from __future__ import annotations

import random
from collections.abc import Iterator
from decimal import Decimal

import pytest

from assistant.conversation.expecting import expected
from assistant.conversation.pot import stocked
from assistant.conversation.state import Ask
from assistant.conversation.turn import Status, Turn
from assistant.language.expected import CONTROLS, Expected, Fit, Saying, fit
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.narrowing import fit_of, narrowed
from assistant.language.numerals import NumberProblem
from assistant.language.reading import NoReading, read_marks
from assistant.language.requests import Plain, Request
from assistant.language.shaping import for_ears, sample, words_of
from assistant.language.tokens import LONGEST_CHARACTERS, LONGEST_WORDS
from assistant.language.understanding import understand
from tests.dosing_scene import medicine
from tests.stock_scene import made_up
from tests.talk_scene import Talk, begun, demo_lexicon, setting

SENTENCES = 400
LEXICON = demo_lexicon()


def after(*phrases: str) -> Talk:
    talk = begun()
    talk.say(*phrases)
    return talk


def cautioned() -> Talk:
    caution = {"for": "cockatiel", "say": "Seen to be ill after it.", "refuse": False}
    talk = begun(medicine(cautions=[caution]))
    talk.say("cockatiel 95")
    return talk


def breeding() -> Talk:
    caution = {"for": "breeding birds", "say": "Seen to stop laying.", "refuse": False}
    talk = begun(medicine(cautions=[caution]))
    talk.say("cockatiel 95")
    return talk


def doubted(words: str, *rivals: str) -> Talk:
    talk = begun()
    others = tuple(Alternative(one, 0.4) for one in rivals)
    talk.say(heard=Heard(words, 0.6, others, Channel.VOICE, "ear", doubtful=True))
    return talk


def with_a_batch(*phrases: str) -> Talk:
    talk = Talk(setting())
    talk.state = stocked(talk.state, (made_up(),), talk.at)
    if phrases:
        talk.say(*phrases)
    return talk


ASKED = {
    "no_weight": ("cockatiel",),
    "two_weights": ("cockatiel 90 or 95",),
    "which_reading": ("blue and gold macaw one kilo two",),
    "unit": ("cockatiel 0.09",),
    "guess": ("cockatiel about 90",),
    "odd_weight": ("cockatiel 200",),
    "light": ("cockatiel 60",),
    "afterwards": ("cockatiel 95", "given", "that was eighty five"),
    "other_bird_weight": ("cockatiel 95", "given", "that was the other bird", "saffron"),
    "other_bird": ("cockatiel 95", "given", "that was the other bird"),
    "cage_count": ("cage four six birds", "cage four five birds"),
    "vet": ("sick cockatiel 95",),
    "same_bird": ("cockatiel 95", "part given", "cockatiel 95"),
    "needle_changed": ("cockatiel 95", "it is coughing", "given", "cockatiel 96"),
    "tare": ("cockatiel 107 with the bag",),
    "bag_changed": ("bag is twelve", "bag is fifteen"),
    "which_bird": ("cockatoo 800",),
    "which_bird_at_all": ("ninety five",),
    "correction": ("cockatiel 95", "eighty"),
    "fix": ("cockatiel 95", "correction"),
    "open_dose": ("cockatiel 95", "budgie 30"),
    "open_dose_no_weight": ("cockatiel 95", "budgie"),
    "open_dose_which_bird": ("cockatiel 95", "cockatoo"),
    "flushed": ("switch to thistle",),
    "after_a_dose": ("cockatiel 95",),
    "not_listening": ("stop listening",),
}
"""What leads to each question, by its name."""

SCENES = {
    "round": Talk(setting()),
    "round_with_a_batch": with_a_batch(),
    "measured": with_a_batch("yes", "spilled the pot"),
    "caution": cautioned(),
    "condition": breeding(),
    "second": after(
        "cockatiel 95", "given", "switch to thistle", "new needle", "yes", "cockatiel 95"
    ),
    "heard": doubted("cockatiel ninety grams"),
    "heard_two_weights": doubted("galah three thirty", "galah three thirteen"),
    "meant": doubted("goodbye"),
    **{name: after(*phrases) for name, phrases in ASKED.items()},
}


def next_in(talk: Talk) -> Expected:
    return expected(talk.state, talk.setting)


def sampled(what: Expected) -> Iterator[tuple[str, Request]]:
    """Sentences that make sense and fit in a breath; a kilo and twelve hundred grams makes none."""
    grammar = for_ears(narrowed(LEXICON, what))
    choose = random.Random(7).randrange  # noqa: S311 - a sample is no secret
    for _ in range(SENTENCES):
        words, marks = sample(grammar, choose)
        text = " ".join(words)
        if len(words) > LONGEST_WORDS or len(text) > LONGEST_CHARACTERS:
            continue
        try:
            yield text, read_marks(marks, words, LEXICON)
        except (NumberProblem, NoReading):
            continue


@pytest.mark.parametrize("scene", SCENES)
def test_what_is_heard_for_an_answer_is_one(scene: str):
    what = next_in(SCENES[scene])
    count = 0
    for text, request in sampled(what):
        found = understand(text, LEXICON)
        assert (found.doubt, found.requests) == (None, (request,)), text
        assert fit(request, what) is not Fit.OTHER, text
        turn = put(SCENES[scene], text)
        assert turn.status is not Status.IGNORED, text
        assert turn.reason not in ("nothing_asked", "nothing_open") or is_control(request), text
        count += 1
    assert count > SENTENCES // 2


def put(talk: Talk, text: str) -> Turn:
    """The turn that the words lead to from here, without going on from it."""
    aside = Talk(talk.setting)
    aside.state = talk.state
    return aside.say(text)


def is_control(request: Request) -> bool:
    return isinstance(request, Plain) and request.kind in CONTROLS


def test_every_question_that_narrows_is_among_the_scenes():
    asked = {talk.state.question.ask for talk in SCENES.values() if talk.state.question}
    assert asked == set(Ask)


def test_a_narrowed_grammar_has_no_word_that_the_whole_lacks():
    whole = words_of(LEXICON.grammar)
    for talk in SCENES.values():
        assert words_of(narrowed(LEXICON, next_in(talk))) <= whole


def test_any_weight_can_be_heard_where_two_are_on_offer():
    what = next_in(SCENES["heard_two_weights"])
    assert set(what.grams) == {Decimal(330), Decimal(313)}
    assert narrowed(LEXICON, what) == narrowed(LEXICON, Expected(what.sayings))
    assert fit_of("three thirteen", what, LEXICON) is Fit.OFFERED
    assert fit_of("no three thirty grams", what, LEXICON) is Fit.OFFERED
    assert fit_of("two hundred and eighty grams", what, LEXICON) is Fit.ANSWER
    assert fit_of("thirteen hundred grams", what, LEXICON) is Fit.ABSURD
    assert fit_of("galah ninety", what, LEXICON) is Fit.OTHER


def test_of_the_birds_on_offer_every_name_that_tells_them_apart_can_be_heard():
    what = next_in(SCENES["which_bird"])
    assert Saying.BIRD in what
    heard = words_of(narrowed(LEXICON, what))
    assert "cockatiel" not in heard
    for bird in what.birds:
        names = [n for n, meant in LEXICON.named.items() if set(meant) & set(what.birds) == {bird}]
        assert any(set(name.split()) <= heard for name in names), bird.name
