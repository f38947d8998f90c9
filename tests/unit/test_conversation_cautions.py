"""Cautions, and the guard against dosing a named bird twice."""

from __future__ import annotations

from datetime import timedelta

import pytest

from assistant.conversation.turn import Status
from tests.dosing_scene import medicine
from tests.talk_scene import Talk, begun, setting


def cautioned(*, refuses: bool) -> Talk:
    caution = {"for": "cockatiel", "say": "Seen to be ill after it.", "refuse": refuses}
    return begun(medicine(cautions=[caution]))


def test_a_caution_is_asked_about_once_and_yes_goes_on():
    talk = cautioned(refuses=False)
    turn = talk.say("cockatiel 95")
    assert (turn.status, turn.reason) == (Status.ASKED, "caution")
    assert turn.reply.said.startswith("Caution for Cockatiel: Seen to be ill after it.")
    assert talk.say("yes").status is Status.ANSWERED


def test_a_caution_is_said_with_the_answer_to_a_single_phrase():
    caution = {"for": "cockatiel", "say": "Seen to be ill after it.", "refuse": False}
    turn = Talk(setting(medicine(cautions=[caution]), one_shot=True)).say("cockatiel 95")
    assert turn.status is Status.ANSWERED
    assert "Caution: Seen to be ill after it." in turn.reply.said
    assert turn.reply.said.startswith("Cockatiel, 95 grams. 0.47 mL")


def test_no_to_a_caution_drops_the_bird():
    talk = cautioned(refuses=False)
    talk.say("cockatiel 95", "no")
    assert talk.state.pending is None
    assert talk.say("yes").status is Status.COMMAND


def test_a_caution_that_refuses_leaves_the_bird_to_a_vet():
    talk = cautioned(refuses=True)
    turn = talk.say("cockatiel 95")
    assert (turn.status, turn.reason) == (Status.ASKED, "caution")
    assert "vet" in turn.reply.said
    assert talk.say("yes").status is Status.COMMAND
    assert talk.say("budgie 31").status is Status.ANSWERED


def test_a_bird_without_a_known_crop_is_left_to_a_vet():
    turn = begun().say("hill mynah 200")
    assert turn.reason == "crop"


@pytest.mark.parametrize("end", ["given", "part given", "don't know"])
def test_a_named_bird_is_not_dosed_twice(end: str):
    talk = begun()
    talk.say("pepper 95", end)
    turn = talk.say("pepper 95")
    assert (turn.status, turn.reason) == (Status.ASKED, "already_dosed")
    assert turn.reply.said == (
        "No dose. Pepper had 0.47 mL of Marigold Demo on 1 March. The next is due from 11 March."
    )


def test_a_ring_is_guarded_as_its_bird():
    assert begun().say("pepper 95", "given", "ring demo 12 95").reason == "already_dosed"


@pytest.mark.parametrize("end", ["not given", "got away", "scratch that"])
def test_a_bird_that_had_nothing_can_be_dosed(end: str):
    assert begun().say("pepper 95", end, "pepper 95").status is Status.ANSWERED


def test_a_scratched_dose_no_longer_guards():
    assert begun().say("pepper 95", "given", "scratch that", "pepper 95").status is Status.ANSWERED


def test_the_next_dose_is_due_on_its_day():
    talk = begun()
    talk.say("pepper 95", "given")
    talk.at += timedelta(days=9)
    assert talk.say("pepper 95").reason == "already_dosed"
    talk.at += timedelta(days=1)
    assert talk.say("pepper 95").status is Status.ANSWERED


def test_another_medicine_on_another_day_is_another_matter():
    talk = begun()
    talk.say("pepper 95", "given")
    talk.at += timedelta(days=1)
    turn = talk.say("switch to thistle", "new needle", "yes", "pepper 95")
    assert turn.status is Status.ANSWERED


def test_a_bird_without_a_name_cannot_be_guarded():
    assert begun().say("cockatiel 95", "given", "cockatiel 95").status is Status.ANSWERED


@pytest.mark.parametrize(
    ("phrase", "reason"),
    [("half dose", "half_dose"), ("give him half", "half_dose"), ("top it up", "top_up"),
     ("give the rest", "top_up"), ("how many drops is that", "drops")],
)  # fmt: skip
def test_no_half_dose_no_top_up_no_drops(phrase: str, reason: str):
    talk = begun()
    turn = talk.say("cockatiel 95", phrase)
    assert (turn.status, turn.reason) == (Status.ASKED, reason)
    assert talk.state.pending is not None
