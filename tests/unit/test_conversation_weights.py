"""Weights: corrections, bare numbers, units, guesses, bags."""

from __future__ import annotations

import pytest

from assistant.conversation.entries import DoseEnd, DoseEndEntry
from assistant.conversation.turn import Status
from assistant.language.requests import Intent
from tests.talk_scene import Talk, begun


def open_dose() -> Talk:
    talk = begun()
    talk.say("cockatiel 95")
    return talk


@pytest.mark.parametrize(
    "phrase", ["no, eighty five", "sorry, 85", "no 85 grams", "correction 85", "make that 85"]
)
def test_a_correction_voids_the_old_dose_and_says_the_new_one(phrase: str):
    turn = open_dose().say(phrase)
    assert turn.status is Status.ANSWERED
    assert turn.reply.said.startswith("Corrected: Cockatiel, 85 grams. 0.42 mL.")
    assert [e.end for e in turn.entries if isinstance(e, DoseEndEntry)] == [DoseEnd.SCRATCHED]


def test_no_alone_asks_for_the_right_weight_and_takes_it():
    talk = open_dose()
    assert talk.say("no").reason == "fix"
    assert talk.say("85").reply.said.startswith("Corrected: Cockatiel, 85 grams.")


def test_a_bare_number_out_of_the_blue_asks():
    talk = open_dose()
    turn = talk.say("eighty five")
    assert turn.reason == "correction"
    assert turn.reply.said == "Eighty five: a correction for the Cockatiel, or the next bird?"
    assert talk.say("yes").status is Status.ASKED
    assert talk.say("correction").facts.grams == 85


def test_a_bare_number_can_be_the_next_birds():
    turn = open_dose().say("given", "thirty one", "next bird", "budgie")
    assert turn.facts.species == "Budgerigar"
    assert turn.facts.grams == 31


def test_two_bare_weights_are_never_chosen_between():
    turn = open_dose().say("ninety or eighty five", "correction")
    assert turn.status is Status.ASKED
    assert turn.reply.said == "Do not give the 0.47 mL. Cockatiel: 90 or 85 grams?"


def test_a_correction_that_cannot_be_right_takes_the_old_dose_back():
    talk = open_dose()
    turn = talk.say("no, nine hundred")
    assert turn.reason == "weight"
    assert turn.reply.said.startswith("Do not give the 0.47 mL. Cockatiel, 900 g")
    assert talk.state.pending is None
    assert talk.say("given").reason == "nothing_open"


def test_after_a_refused_weight_the_next_one_counts():
    assert begun().say("cockatiel 950", "95").facts.grams == 95


def test_there_is_nothing_to_correct_where_nothing_was_given():
    turn = open_dose().say("not given", "no, eighty five")
    assert turn.status is Status.COMMAND
    assert "scratch that" in turn.reply.said


def test_an_odd_weight_is_confirmed_or_replaced():
    assert begun().say("cockatiel 200", "yes").facts.grams == 200
    assert begun().say("cockatiel 200", "no", "95").facts.grams == 95
    assert begun().say("cockatiel 200", "no, 95").facts.grams == 95


def test_yes_to_one_odd_weight_is_no_yes_to_another():
    turn = begun().say("cockatiel 200", "210")
    assert turn.reason == "odd_weight"


def test_a_guess_is_asked_about():
    talk = begun()
    assert talk.say("cockatiel about ninety").reason == "guess"
    assert talk.say("yes").facts.grams == 90


def test_a_bare_decimal_is_settled_by_its_unit():
    talk = begun()
    assert talk.say("galah nought point three").reason == "unit"
    assert talk.say("kilos").facts.grams == 300
    assert begun().say("zebra finch 12.5", "grams").facts.grams.__str__() == "12.5"
    assert begun().say("galah 0.3", "yes").status is Status.ASKED


def test_another_one_always_asks_its_weight():
    talk = open_dose()
    turn = talk.say("given", "another one")
    assert turn.reason == "no_weight"
    assert turn.facts.species == "Cockatiel"
    assert talk.say("92").facts.grams == 92


def test_two_weights_ask():
    talk = begun()
    turn = talk.say("cockatiel ninety or ninety five")
    assert turn.reason == "two_weights"
    assert talk.say("yes").status is Status.ASKED
    assert talk.say("ninety").facts.grams == 90


def test_one_weight_said_twice_is_no_choice_of_two():
    said = begun().say("cockatiel 95 95").reply.said
    assert said == "Cockatiel: 95, said more than once. Say the whole weight once."


def test_a_weight_in_pounds_is_refused_in_tenths_of_a_gram():
    said = begun().say("galah three ounces").reply.said
    assert said.startswith("Galah, 85 grams: that cannot be right.")


def test_the_bag_is_taken_off_and_said():
    talk = begun()
    assert talk.say("bag is twelve").reply.said.startswith("Bag, 12 grams")
    turn = talk.say("cockatiel a hundred and seven with the bag")
    assert turn.facts.grams == 95
    assert "95 grams: 107 less 12 for the bag." in turn.reply.said
    assert talk.say("given", "cockatiel 95 without the bag").facts.grams == 95


@pytest.mark.parametrize("phrase", ["less the bag", "minus the bag"])
def test_less_the_bag_takes_the_bag_off(phrase: str):
    # taken as the weight of the bird alone, it would add the bag to the dose
    talk = begun()
    assert talk.say(f"cockatiel 107 {phrase}").reason == "tare"
    assert talk.say("twelve").facts.grams == 95


def test_a_bag_that_was_not_weighed_is_asked_for():
    talk = begun()
    assert talk.say("cockatiel 107 with the bag").reason == "tare"
    assert talk.say("twelve").facts.grams == 95


def test_the_unit_of_a_bag_is_an_answer_about_the_bag():
    turn = begun().say("bag is 12.5", "grams")
    assert (turn.status, turn.intent) == (Status.COMMAND, Intent.TARE)
    assert turn.reply.said.startswith("Bag, 12.5 grams")


def test_another_bag_is_asked_about_before_it_counts():
    talk = begun()
    turn = talk.say("bag is twelve", "bag is thirteen")
    assert turn.reason == "bag_changed"
    assert "13 grams, one three" in turn.reply.said
    assert talk.say("no").reply.said == "The bag stays at 12 grams."
    assert talk.say("bag is thirteen", "yes", "cockatiel 108").facts.grams == 95


def test_a_bag_can_be_put_away():
    talk = begun()
    talk.say("bag is twelve", "no bag")
    assert talk.say("cockatiel 95").facts.grams == 95
    assert talk.say("which bag").reply.said.startswith("No bag is set")


def test_a_bag_heavier_than_the_weight_gives_no_dose():
    turn = begun().say("bag is 200", "cockatiel 95")
    assert turn.reason == "weight"
    assert "above zero" in turn.reply.said


@pytest.mark.parametrize(
    ("phrase", "bagged"),
    [
        ("cockatiel 57", "57 less 12 for the bag. Cockatiel, 45 grams, is light:"),
        ("cockatiel 32", "32 less 12 for the bag. Cockatiel, 20 grams: that cannot be right."),
        ("cockatiel 207", "207 less 12 for the bag. Cockatiel, 195 grams? Usually"),
        ("cockatiel about 107", "Does the scale show 107 grams for Cockatiel?"),
    ],
)
def test_an_odd_weight_is_asked_about_with_its_bag(phrase: str, bagged: str):
    talk = begun()
    assert talk.say("bag is twelve", phrase).reply.said.startswith(bagged)


def test_the_number_of_a_ring_that_is_not_known_is_no_weight():
    talk = begun()
    assert talk.say("ring 123").reply.said == (
        "I do not know that ring. Say its species and its weight."
    )
    assert talk.say("cockatiel").reason == "no_weight"
    kept = begun().say("ring 123 95 grams")
    assert "95" not in kept.reply.said
    assert begun().say("ring abc 95 grams").reply.said.endswith("the bird of 95 grams?")


def test_a_name_that_stays_open_is_asked_about_without_a_list_of_itself():
    turn = begun().say("xyzzy 130 grams", "ringneck")
    assert turn.reply.said.startswith("Which bird: Indian ringneck,")
    assert turn.reply.said.count("Indian ringneck") == 1
