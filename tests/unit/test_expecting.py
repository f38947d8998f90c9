"""What may be said next, worked out from where a conversation stands."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.conversation.expecting import expected
from assistant.language.expected import ANYTHING, CONTROLS, Expected, Fit, Saying
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.narrowing import fit_of
from tests.talk_scene import Talk, begun, setting


def sayings(talk: Talk) -> frozenset[Saying]:
    return expected(talk.state, setting()).sayings


def test_at_the_start_the_round_is_confirmed_or_changed():
    assert sayings(Talk(setting())) == {Saying.YES_NO, Saying.NEEDLE, Saying.MEDICINE}


def test_with_nothing_asked_and_no_dose_open_anything_may_be_said():
    assert expected(begun().state, setting()) == ANYTHING


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        (("cockatiel",), {Saying.WEIGHT, Saying.FIX}),
        (("cockatiel about ninety",), {Saying.YES_NO, Saying.WEIGHT, Saying.FIX}),
        (("cockatiel 0.09",), {Saying.UNIT, Saying.WEIGHT, Saying.FIX}),
        (("cockatiel 107 with the bag",), {Saying.TARE, Saying.WEIGHT, Saying.FIX}),
        (("ninety five",), {Saying.BIRD}),
        (("cockatiel ninety five",), {Saying.END, Saying.FIX, Saying.PUT_RIGHT}),
        (("cockatiel ninety five", "budgie thirty"), {Saying.END, Saying.YES_NO}),
        (("cockatiel ninety five", "budgie"), {Saying.END, Saying.YES_NO, Saying.WEIGHT}),
        (("cockatiel ninety five", "given", "eighty"), {Saying.CORRECTION}),
        (("cockatiel ninety five", "eighty"), {Saying.CORRECTION, Saying.END}),
        (("stop listening",), {Saying.LISTEN}),
    ],
)
def test_each_question_has_its_answers(said: tuple[str, ...], wanted: set[Saying]):
    talk = begun()
    talk.say(*said)
    assert sayings(talk) == wanted


def test_the_birds_on_offer_are_those_of_the_question():
    talk = begun()
    talk.say("cockatoo 800")
    birds = expected(talk.state, setting()).birds
    assert len(birds) > 1
    assert set(birds) == set(setting().lexicon.birds("cockatoo"))


def test_two_weights_heard_by_an_ear_are_on_offer():
    talk = begun()
    rival = Alternative("cockatiel ninety five grams", 0.4)
    heard = Heard("cockatiel ninety grams", 0.6, (rival,), Channel.VOICE, "ear", doubtful=True)
    talk.say(heard=heard)
    assert expected(talk.state, setting()).grams == (Decimal(90), Decimal(95))


def test_a_doubtful_request_is_confirmed_or_put_right():
    talk = begun()
    talk.say(heard=Heard("cockatiel ninety", 0.4, (), Channel.VOICE, "ear", doubtful=True))
    assert sayings(talk) == {Saying.YES_NO, Saying.WEIGHT, Saying.FIX}
    talk = begun()
    talk.say(heard=Heard("goodbye", 0.6, (), Channel.VOICE, "ear", doubtful=True))
    assert sayings(talk) == {Saying.YES_NO}


def test_the_commands_of_any_time_are_always_among_the_tags_but_not_while_not_listening():
    assert Expected(frozenset({Saying.YES_NO})).tags == CONTROLS | {"yes", "no"}
    assert Expected(frozenset({Saying.LISTEN})).tags == {"listen"}
    assert not ANYTHING.tags


def test_a_weight_is_that_of_the_bird_which_is_asked_about():
    lexicon = setting().lexicon
    talk = begun()
    talk.say("cockatiel")
    what = expected(talk.state, setting())
    assert [one.name for one in what.species] == ["Cockatiel"]
    assert fit_of("ninety grams", what, lexicon) is Fit.OFFERED
    assert fit_of("two hundred grams", what, lexicon) is Fit.ANSWER
    assert fit_of("one two three four", what, lexicon) is Fit.ABSURD
    assert fit_of("three hundred grams with the bag", what, lexicon) is Fit.OFFERED


def test_what_a_scale_shows_with_a_bag_is_not_judged():
    talk = begun()
    talk.say("bag is twelve", "cockatiel")
    assert expected(talk.state, setting()).species == ()
    talk.say("bag is fifteen")
    assert expected(talk.state, setting()).species == ()


def test_after_a_dose_a_weight_put_right_is_that_of_the_same_bird():
    talk = begun()
    talk.say("pepper ninety")
    assert [one.name for one in expected(talk.state, setting()).species] == ["Cockatiel"]
