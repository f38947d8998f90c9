"""Once it was said to change the needle, nothing is taken for granted about what is in it."""

from __future__ import annotations

import pytest

from assistant.conversation.turn import Status
from assistant.dosing.reminders import Often, Reminder
from tests.talk_scene import Talk, begun, demo_holding

NEXT = "cockatiel 104 grams"


def after_an_emergency() -> Talk:
    """A bird coughed, its dose has its end, and the needle is to be changed."""
    talk = begun()
    talk.say("cockatiel 98 grams", "it is coughing")
    assert "Change or disinfect the needle." in talk.say("given").reply.said
    return talk


def at_the_next_cage() -> Talk:
    """The second cage of a round, for a keeper who changes the needle between cages."""
    reminders = {**demo_holding().kit.reminders, Reminder.CHANGE: Often.CAGE}
    talk = begun(reminders=reminders)
    talk.say("cage four", "cockatiel 98 grams", "given")
    assert "Change or disinfect the needle." in talk.say("cage five").reply.said
    return talk


@pytest.mark.parametrize("scene", [after_an_emergency, at_the_next_cage])
def test_no_dose_is_said_before_it_is_known_what_is_in_the_needle(scene: object):
    talk = scene()  # type: ignore[operator]  # one of the two above
    turn = talk.say(NEXT)

    assert turn.status is Status.ASKED
    assert turn.reason == "needle_changed"
    answer = talk.say("new needle")
    assert answer.status is Status.ANSWERED
    assert "Dry needle: draw to" in answer.reply.said


def test_a_needle_that_was_rinsed_meanwhile_is_asked_about_no_more():
    talk = at_the_next_cage()
    talk.say("rinsed the needle")

    assert "Rinsed needle" in talk.say(NEXT).reply.said


def test_between_cages_the_same_needle_may_stay_full():
    talk = at_the_next_cage()
    talk.say(NEXT)

    assert "Needle full: draw to" in talk.say("needle is full").reply.said


def test_a_needle_from_a_bird_that_may_be_ill_is_not_taken_as_it_is():
    talk = after_an_emergency()
    talk.say(NEXT)

    for words in ("needle is full", "yes", "no"):
        turn = talk.say(words)
        assert turn.status is Status.ASKED
        assert "may be ill" in turn.reply.said
    assert talk.say("rinsed the needle").status is Status.ANSWERED


def test_saying_so_before_the_next_bird_is_enough():
    talk = after_an_emergency()
    talk.say("new needle")

    turn = talk.say(NEXT)
    assert "Dry needle" in turn.reply.said
    talk.say("given")
    assert "Needle full" in talk.say("cockatiel 97 grams").reply.said
