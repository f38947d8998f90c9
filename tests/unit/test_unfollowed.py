"""What is told in words that are not followed, of needle, bag or bird, is not lost with them."""

from __future__ import annotations

import pytest

from assistant.conversation.drafting import CHANGED, WHICH_BAG
from assistant.conversation.state import Ask
from assistant.conversation.turn import Status
from assistant.language.heard import Channel, Heard
from tests.talk_scene import Talk, begun

NEXT = "cockatiel 93 grams"


def with_a_full_needle() -> Talk:
    talk = begun()
    talk.say("cockatiel 95", "given")
    return talk


def with_a_bag() -> Talk:
    talk = begun()
    talk.say("bag is twelve")
    return talk


@pytest.mark.parametrize(
    "phrase",
    [
        "it bent, had to swap the needle there",
        "dropped the needle on the floor, got a clean one",
        "I've rinsed it through twice",
        "this tube is a fresh one off the shelf",
        "the tube's another",
        "the other syringe was quicker to reach",
    ],
)
def test_a_needle_that_may_have_been_changed_is_never_taken_for_full(phrase: str):
    talk = with_a_full_needle()
    turn = talk.say(phrase)
    assert (turn.status, turn.reason) == (Status.ASKED, Ask.NEEDLE_CHANGED.value)
    assert turn.reply.said.endswith(CHANGED)

    assert talk.say(NEXT).reply.said == CHANGED
    assert "Dry needle: draw to" in talk.say("new needle").reply.said


def test_a_needle_beside_a_bird_is_asked_about_with_its_dose():
    talk = with_a_full_needle()
    assert "I could not follow" in talk.say("cockatiel 93 grams out of a fresh needle").reply.said

    assert talk.say(NEXT).reply.said == CHANGED
    assert "Needle full" in talk.say("needle is full").reply.said
    talk.say("given")
    assert "Needle full" in talk.say("cockatiel 94").reply.said


@pytest.mark.parametrize("answer", ["new needle", "rinsed the needle", "other needle"])
def test_the_question_about_the_needle_is_over_once_it_is_answered(answer: str):
    talk = with_a_full_needle()
    talk.say("swapped that needle over", answer)

    assert talk.state.question is None
    assert talk.say("yes").reply.said == "No question is open. Say a bird and its weight."


def test_a_needle_changed_at_an_open_dose_is_primed_anew():
    talk = with_a_full_needle()
    talk.say(NEXT, "it clogged so I put another needle on there")

    assert "0.46 mL. Dry needle: draw to" in talk.say("new needle").reply.said
    assert talk.say("given").reply.said.startswith("Given: Cockatiel, 93 grams")


@pytest.mark.parametrize(
    "phrase", ["new bag", "changed bags, this one's fourteen", "zeroed the scale with it on"]
)
def test_another_bag_is_asked_about_before_it_is_taken_off(phrase: str):
    talk = with_a_bag()
    turn = talk.say(phrase)
    assert (turn.status, turn.reason) == (Status.ASKED, Ask.TARE.value)
    assert turn.reply.said.endswith(WHICH_BAG)

    turn = talk.say("cockatiel 107")
    assert (turn.status, turn.reply.said) == (Status.ASKED, f"Cockatiel, 107. {WHICH_BAG}")
    turn = talk.say("no bag")
    assert (turn.status, str(turn.facts.grams)) == (Status.ANSWERED, "107")


def test_the_same_bag_said_again_settles_it():
    talk = with_a_bag()
    talk.say("a different bag, I think", "bag is twelve")

    assert talk.state.question is None
    assert str(talk.say("cockatiel 107").facts.grams) == "95"


def test_a_weight_that_was_told_with_a_bag_is_not_taken_without_one():
    talk = begun()
    talk.say("cockatiel and his bag on the scales read 107")

    assert talk.say("cockatiel 107").reply.said == f"Cockatiel, 107. {WHICH_BAG}"
    assert str(talk.say("12").facts.grams) == "95"


def test_the_bag_of_a_bird_that_waits_is_asked_about_with_its_weight():
    talk = with_a_bag()
    talk.say("cockatiel")
    assert WHICH_BAG not in talk.say("107 in his new bag").reply.said

    assert WHICH_BAG in talk.say("cockatiel 107").reply.said


def test_a_bag_to_carry_birds_in_is_no_weighing():
    talk = begun()
    assert talk.say("popping her back into the bag").status is Status.IGNORED

    assert talk.say(NEXT).status is Status.ANSWERED


def test_talk_that_was_heard_changes_nothing():
    talk = with_a_full_needle()
    talk.say(heard=Heard("swapped that needle over", channel=Channel.VOICE))

    assert "Needle full" in talk.say(NEXT).reply.said


YOUNG, ILL = "chicks and unweaned birds", "Has the vet said to dose it?"


@pytest.mark.parametrize("weight", ["92", "cockatiel 92"])
@pytest.mark.parametrize(
    ("phrase", "asked"),
    [
        ("cockatiel chick, three weeks old, 92 grams", YOUNG),
        ("cockatiel that is still being hand fed, 92", YOUNG),
        ("a cockatiel, twelve days old, hatched late, 92", YOUNG),
        ("sick cockatiel off his food again 92", ILL),
        ("cockatiel not right today he's poorly 92", ILL),
    ],
)
def test_a_chick_or_an_ill_bird_stays_one(phrase: str, asked: str, weight: str):
    talk = begun()
    assert talk.say(phrase).status is Status.ASKED

    turn = talk.say(weight)
    assert turn.status is Status.ASKED
    assert asked in turn.reply.said


def test_another_bird_is_not_ill_for_the_one_before():
    talk = begun()
    talk.say("sick cockatiel off his food again 92")

    assert talk.say("galah 320").status is Status.ANSWERED


@pytest.mark.parametrize(
    "phrase",
    ["make that thistle not marigold", "it's the other wormer from here on", "meds change"],
)
def test_another_medicine_is_asked_about_before_the_next_dose(phrase: str):
    talk = with_a_full_needle()
    turn = talk.say(phrase)
    assert (turn.status, turn.reason) == (Status.ASKED, Ask.ROUND.value)
    assert "This round: Marigold Demo" in turn.reply.said

    assert talk.say("switch to thistle").reply.said.startswith("Thistle Demo")
    assert talk.say("new needle", "yes", NEXT).facts.medicine == "Thistle Demo"


def test_the_medicine_is_confirmed_with_the_next_bird_where_nobody_answered():
    talk = with_a_full_needle()
    talk.say("giving them thistle from here on")
    assert talk.say(NEXT).reason == Ask.ROUND.value

    assert talk.say("yes").facts.medicine == "Marigold Demo"
    talk.say("given")
    assert talk.say("cockatiel 94").status is Status.ANSWERED


def test_a_medicine_in_doubt_leaves_an_open_dose_as_it_is():
    talk = with_a_full_needle()
    talk.say(NEXT, "that was thistle I think")

    assert talk.say("given").reply.said.startswith("Given: Cockatiel, 93 grams")
