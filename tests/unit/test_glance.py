"""What is seen of the round from three metres away: the open dose whole, or none."""

from __future__ import annotations

from decimal import Decimal

from assistant.conversation.glance import OpenDose, glance
from tests.talk_scene import begun


def open_dose(*phrases: str) -> OpenDose | None:
    talk = begun()
    talk.say(*phrases)
    return glance(talk.state).open


def test_an_open_dose_has_its_bird_its_weight_and_both_marks():
    dose = open_dose("pepper 95")
    assert dose == OpenDose(
        who="Pepper, Cockatiel",
        weight="95 grams",
        volume_ml=Decimal("0.47"),
        draw_to_ml=Decimal("0.68"),
        syringe_ml=Decimal(1),
        needle="dry needle",
        fictional=True,
    )


def test_a_full_needle_is_drawn_to_the_dose_itself():
    dose = open_dose("cockatiel 95", "given", "budgie 31")
    assert dose is not None
    assert (dose.draw_to_ml, dose.needle) == (dose.volume_ml, "needle full")


def test_the_mark_follows_the_needle_that_the_keeper_takes_next():
    dose = open_dose("cockatiel 95", "given", "budgie 31", "new needle")
    assert dose is not None
    assert dose.draw_to_ml == Decimal("0.36")
    assert dose.volume_ml == Decimal("0.15")


def test_a_dose_is_gone_once_it_has_its_end_or_was_taken_back():
    assert open_dose("cockatiel 95", "given") is None
    assert open_dose("cockatiel 95", "scratch that") is None
    assert open_dose("cockatiel") is None


def test_the_birds_are_counted_by_how_their_doses_ended():
    talk = begun()
    talk.say("cockatiel 95", "given", "budgie 31", "part given", "cockatiel 90", "given")
    assert glance(talk.state).done == "2 given, 1 part given"


def test_a_question_and_sleep_are_seen():
    talk = begun()
    talk.say("cockatiel")
    assert glance(talk.state).asks
    talk.say("stop listening")
    assert not glance(talk.state).awake


def test_the_medicine_is_seen_with_its_dilution():
    assert glance(begun().state).medicine == "Marigold Demo, 1 in 10"
