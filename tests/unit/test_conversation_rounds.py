"""The round: its medicine, its needle, its reminders, pausing and leaving."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.conversation.drafting import round_question
from assistant.conversation.entries import NoteEntry
from assistant.conversation.machine import UNWRITTEN
from assistant.conversation.pot import stocked
from assistant.conversation.turn import Status
from assistant.dosing.dilution import Dilution
from assistant.dosing.needle import NeedleState
from assistant.language.heard import Channel, Heard
from assistant.language.requests import Intent
from tests.dosing_scene import medicine
from tests.stock_scene import made_up
from tests.talk_scene import Talk, begun, demo_holding, setting

STRENGTH = "25 mg per mL, diluted 1 in 10"


def test_a_round_begins_with_medicine_strength_and_needle():
    talk = Talk(setting())
    turn = talk.say("cockatiel 95")
    assert (turn.status, turn.reason) == (Status.ASKED, "round")
    assert f"Marigold Demo, {STRENGTH}" in turn.reply.said
    assert "14 gauge, 75 mm, new and dry" in turn.reply.said
    turn = talk.say("yes")
    assert turn.status is Status.ANSWERED
    assert turn.facts.grams == 95


def test_a_yes_before_the_first_bird_begins_the_round_too():
    assert Talk(setting()).say("yes", "cockatiel 95").status is Status.ANSWERED


def test_no_to_the_round_says_what_can_be_changed_and_begins_nothing():
    talk = Talk(setting())
    assert "switch medicine" in talk.say("no").reply.said
    assert talk.say("cockatiel 95").reason == "round"


def test_a_weight_can_be_corrected_while_the_round_is_asked_about():
    assert Talk(setting()).say("cockatiel 95", "no, ninety", "yes").facts.grams == 90


def test_the_round_is_confirmed_again_every_so_many_birds():
    talk = begun(remind_every=3)
    for _ in range(3):
        assert talk.say("cockatiel 95").status is Status.ANSWERED
        talk.say("given")
    turn = talk.say("cockatiel 95")
    assert turn.reason == "round"
    assert "full of this medicine" in turn.reply.said
    assert "of Marigold Demo, 1 in 10" in talk.say("yes").reply.said


def test_medicine_and_syringe_are_said_only_when_they_are_news():
    talk = begun()
    assert "of Marigold Demo, 1 in 10. Use the 1 mL syringe." in talk.say("cockatiel 95").reply.said
    second = talk.say("given", "cockatiel 90").reply.said
    assert "Use the" not in second
    assert "of Marigold" not in second


def test_a_switch_asks_for_a_flushed_needle_and_a_new_round():
    talk = begun()
    turn = talk.say("switch to thistle")
    assert "new syringe and a new needle" in turn.reply.said
    assert talk.say("cockatiel 95").reason == "flushed"
    turn = talk.say("new needle")
    assert turn.reason == "round"
    assert "Thistle Demo, 50 mg per mL" in turn.reply.said
    turn = talk.say("yes")
    assert turn.facts.medicine == "Thistle Demo"
    assert "Dry needle" in turn.reply.said


def test_a_needle_is_never_believed_full_right_after_a_switch():
    talk = begun()
    turn = talk.say("cockatiel 95", "given", "switch to thistle", "needle is full")
    assert turn.reason == "flushed"
    assert "other medicine" in turn.reply.said
    assert talk.say("yes").status is Status.ASKED
    assert talk.say("cockatiel 95").reason == "flushed"


def test_no_switch_while_a_dose_is_open():
    turn = begun().say("cockatiel 95", "switch to thistle")
    assert turn.reason == "open_dose"


@pytest.mark.parametrize("phrase", ["same again 96", "another one 96", "another 96 grams"])
def test_another_of_the_same_kind_may_come_with_its_weight(phrase: str):
    talk = begun()
    talk.say("cockatiel 95", "given")
    assert talk.say(phrase).reply.said.startswith("Cockatiel, 96 grams")


def test_a_bird_with_another_medicine_is_not_answered_in_a_round():
    turn = begun().say("thistle for a cockatiel 95")
    assert turn.reason == "other_medicine"
    assert "switch to thistle" in turn.reply.said


@pytest.mark.parametrize(
    ("phrase", "state", "priming"),
    [
        ("new needle", NeedleState.DRY, "Dry needle: draw to 0.68 mL"),
        ("rinsed the needle", NeedleState.RINSED, "push at least 0.21 mL out to waste"),
        ("needle is full", NeedleState.FULL, "Needle full: draw to 0.47 mL only."),
    ],
)
def test_the_priming_follows_the_needle(phrase: str, state: NeedleState, priming: str):
    talk = begun()
    turn = talk.say(phrase)
    assert turn.intent is Intent.NEEDLE
    assert talk.state.needle_state is state
    assert priming in talk.say("cockatiel 95").reply.said


def test_a_needle_changed_under_an_open_dose_gets_its_priming():
    talk = begun()
    said = talk.say("cockatiel 95", "given", "budgie 31", "new needle").reply.said
    assert "Budgerigar, 31 grams, 0.15 mL. Dry needle: draw to 0.36 mL" in said
    assert "stop at 0.15 mL" in said
    assert said.endswith("Demo medicine, never for a real bird.")


def test_a_full_needle_that_moves_to_another_syringe_is_primed_again():
    talk = begun()
    said = talk.say("cockatiel 95", "given", "blue and gold macaw 1.2 kg").reply.said
    assert "Use the 10 mL syringe. Shake it. Move the needle to it: draw to 6.5 mL" in said
    assert "Dry needle" in talk.say("no, 1.1 kg").reply.said, "it may not have been moved yet"


def test_what_is_in_use_can_be_asked():
    talk = begun()
    assert talk.say("which needle").reply.said.startswith("Needle 14 gauge, 75 mm.")
    assert talk.say("which medicine").reply.said.startswith(f"Marigold Demo, {STRENGTH}")
    assert talk.say("help").intent is Intent.HELP
    assert talk.say("shaken").intent is Intent.MEDICINE


def test_a_weight_band_is_said_with_its_error():
    banded = medicine(banding={"step_g": 50, "cap_percent": 15})
    said = begun(banded, banding=True).say("superb parrot 180").reply.said
    assert "Superb parrot, 180 grams, one eight zero. 1 mL" in said
    assert "Dosed in the band of 200 grams, 11.1 % over its own weight's dose." in said
    assert "band" not in begun(banded).say("superb parrot 180").reply.said


def test_a_band_that_the_syringe_rounds_to_the_same_dose_says_so():
    banded = medicine(banding={"step_g": 50, "cap_percent": 15})
    said = begun(banded, banding=True).say("galah 340").reply.said
    assert "Dosed in the band of 350 grams, the same as for its own weight." in said


def test_half_a_name_chooses_among_the_birds_that_were_offered():
    turn = begun().say("corella five hundred", "little")
    assert (turn.facts.species, str(turn.facts.grams)) == ("Little corella", "500")


def test_say_again_repeats_the_last_reply_a_question_too():
    talk = begun()
    asked = talk.say("cockatiel").reply.said
    turn = talk.say("say again")
    assert (turn.reply.said, turn.status) == (asked, Status.COMMAND)
    answered = talk.say("95").reply.said
    assert talk.say("say again").reply.said == answered
    assert talk.state.doses == 1


def test_while_not_listening_only_listening_again_is_heard():
    talk = begun()
    talk.say("cockatiel 95", "stop listening")
    for phrase in ("given", "budgie 31", "stop listening", ""):
        assert talk.say(phrase).status is Status.IGNORED, phrase
    turn = talk.say("start listening")
    assert turn.status is Status.COMMAND
    assert "still open" in turn.reply.said
    assert talk.say("given").status is Status.COMMAND


def test_goodbye_ends_the_round():
    talk = begun()
    turn = talk.say("cockatiel 95", "given", "goodbye")
    assert turn.ends
    assert talk.say("cockatiel 95").reason == "round"


def test_an_unconfirmed_medicine_answers_nothing():
    unvouched = replace(medicine(), confirmation=None)
    for talk in (Talk(setting(unvouched)), Talk(setting(unvouched, one_shot=True))):
        turn = talk.say("yes", "cockatiel 95", "yes", "cockatiel 95")
        assert "is not confirmed" in turn.reply.said
        assert turn.status is Status.ASKED
        assert not talk.state.begun


def test_an_edited_medicine_answers_nothing():
    edited = replace(medicine(), dilution=Dilution(Decimal(1), Decimal(10)))
    turn = Talk(setting(edited, one_shot=True)).say("cockatiel 95")
    assert turn.reason == "edited"
    assert "Confirm" in turn.reply.said


@pytest.mark.parametrize("kind", [{}, {"one_shot": True}])
def test_no_dose_comes_from_a_bottle_past_its_last_day(kind: dict[str, bool]):
    past, last_day = medicine(product_expires="2026-02-28"), medicine(product_expires="2026-03-01")
    refused = Talk(setting(past, **kind)).say("yes", "cockatiel 95")
    assert refused.facts.dose is None
    assert refused.reason == "expired"
    assert "expired on 28 February 2026" in refused.reply.said
    assert "Write the new bottle's number and date" in refused.reply.said
    assert Talk(setting(last_day, **kind)).say("yes", "cockatiel 95").facts.dose is not None


def test_a_pot_ends_with_its_own_bottle_and_not_with_that_of_the_file():
    talk = Talk(setting(medicine(product_expires="2026-02-28")))
    talk.state = stocked(talk.state, (made_up(),), talk.at)
    turn = talk.say("yes", "cockatiel 95")
    assert turn.facts.dose is not None


def test_an_unconfirmed_medicine_is_not_switched_to():
    marigold, thistle = demo_holding().medicines
    talk = begun(marigold, replace(thistle, confirmation=None))
    assert "is not confirmed" in talk.say("switch to thistle").reply.said
    assert talk.say("cockatiel 95").facts.medicine == "Marigold Demo"


def test_without_a_usual_medicine_it_is_asked_for():
    talk = Talk(replace(setting(), usual=None))
    assert "Say switch to Marigold Demo or Thistle Demo" in talk.say("yes").reply.said
    assert talk.say("cockatiel 95").reason == "no_medicine"
    turn = talk.say("switch to marigold", "new needle", "yes", "cockatiel 95")
    assert turn.status is Status.ANSWERED


def test_what_a_keeper_does_with_the_round_is_noted():
    talk = begun()
    talk.say("new needle", "bag is twelve", "shaken", "switch to thistle")
    kinds = [entry.kind for entry in talk.entries if isinstance(entry, NoteEntry)]
    assert kinds == ["round", "needle", "tare", "shaken", "medicine"]


def test_what_an_ear_doubts_is_asked_about():
    talk = begun()
    doubtful = Heard("cockatiel ninety five", 0.3, channel=Channel.VOICE, engine="test ear")
    turn = talk.say(heard=doubtful)
    assert turn.reason == "heard"
    assert turn.reply.said == "Did you say Cockatiel, 95 grams?"
    assert talk.say("yes").facts.grams == Decimal(95)


def test_a_doubtful_given_ends_nothing_until_it_is_confirmed():
    talk = begun()
    talk.say("cockatiel 95")
    talk.say(heard=Heard("given", 0.2, channel=Channel.VOICE))
    assert talk.state.pending is not None
    assert talk.say("yes").reply.said.startswith("Given:")


def test_the_warning_of_an_unwritten_answer_tells_all_that_is_lost():
    assert "cannot be written" in UNWRITTEN
    assert "guard against double doses is off" in UNWRITTEN


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("bag is twelv", "bag, 12 grams?"),
        ("swich to thistle", "switch to thistle?"),
        ("swich medicine", "switch medicine?"),
        ("new nedle", "new needle?"),
        ("wich medicine", "which medicine?"),
        ("scrach that", "scratch that?"),
        ("no eigty five", "a correction to 85 grams?"),
        ("cockatiel 95 with thistel", "Cockatiel, 95 grams, with thistle?"),
    ],
)
def test_a_misspelt_request_is_asked_about_in_words_that_a_keeper_says(typed: str, meant: str):
    assert begun().say(typed).reply.said.endswith(f"Did you mean {meant}")


def test_a_suspension_is_to_be_shaken_and_a_solution_is_not():
    assert "Shake it before each draw." in round_question(Talk(setting()).state)
    solved = Talk(setting(medicine(form="solution"))).state
    assert "Shake" not in round_question(solved)
