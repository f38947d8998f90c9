"""A bird that waits for an answer is not lost by an end, a half name or another weight unsaid."""

from __future__ import annotations

import pytest

from assistant.conversation.state import Ask
from assistant.conversation.turn import Status
from tests.talk_scene import Talk, begun, setting


def test_half_a_name_chooses_among_the_birds_that_wait_behind_an_open_dose():
    talk = begun()
    talk.say("budgie 34", "ringneck 125", "indian")
    turn = talk.say("given")
    assert (turn.facts.species, str(turn.facts.grams)) == ("Indian ringneck", "125")


@pytest.mark.parametrize(
    ("asked", "dropped"),
    [
        (["sulphur crested 850"], "sulphur crested cockatoo, 850 grams, eight five zero"),
        (["galah 300", "two hundred"], "galah, 300 grams, 200 grams"),
        (["two hundred"], "200 grams"),
    ],
)
def test_an_end_tells_what_was_asked_about_and_is_dropped_by_it(asked: list[str], dropped: str):
    said = begun().say("cockatiel 95", *asked, "given").reply.said
    assert said == (
        f"Given: Cockatiel, 95 grams, 0.47 mL. Dropped: {dropped}. Say it again if it counts."
        " Wipe the needle after every bird."
    )


def test_a_bird_that_waits_behind_the_open_dose_is_not_called_dropped():
    assert "Dropped" not in begun().say("cockatiel 95", "galah 330", "given").reply.said


def test_an_end_before_the_round_is_confirmed_puts_its_question_again():
    talk = Talk(setting())
    turn = talk.say("cockatiel 95", "given")
    assert turn.reply.said.startswith("No dose was said yet for this bird. This round: Marigold")
    assert talk.say("yes").status is Status.ANSWERED


@pytest.mark.parametrize(
    ("first", "again"),
    [
        (["dropped the needle", "cockatiel 95"], "Was the needle changed?"),
        (["switch to thistle", "cockatiel 95"], "Take a new syringe and a new needle"),
        (["cockatiel 50"], "Answer the question first"),
    ],
)
def test_an_end_before_a_dose_says_what_has_to_come_first(first: list[str], again: str):
    said = begun().say(*first, "took the lot").reply.said
    assert said.startswith(f"No dose was said yet for this bird. {again}")


@pytest.mark.parametrize("end", ["skip it", "it flew off", "not given"])
def test_a_bird_that_gets_none_is_dropped_with_its_question(end: str):
    talk = begun()
    said = talk.say("cockatiel 50", end).reply.said
    assert said == "No dose was said. Dropped: cockatiel, 50 grams, five zero."
    assert (talk.state.question, talk.say("healthy adult").status) == (None, Status.COMMAND)


def test_the_question_of_the_round_stays_without_the_bird_that_was_dropped():
    talk = Talk(setting())
    talk.say("cockatiel 95", "it flew off")
    assert talk.state.question is not None
    assert (talk.state.question.ask, talk.state.question.draft) == (Ask.ROUND, None)
    assert talk.say("yes").status is Status.COMMAND


def test_what_comes_up_later_is_still_of_the_bird_before_the_one_that_waits():
    turn = begun().say("cockatiel 95", "given", "galah 100", "brought it up")
    assert turn.reply.said.startswith("Part given: Cockatiel, 95 grams, 0.47 mL.")


def test_a_round_that_is_not_confirmed_is_asked_about_by_its_start():
    talk = Talk(setting())
    assert talk.say("righto, start the round").reply.said.endswith("Is that right?")
    talk.say("stop listening")
    assert talk.say("start listening").reply.said.startswith("Listening. This round: Marigold")


def test_a_hen_by_name_and_by_sex_is_one_bird():
    turn = begun().say("bantam hen six hundred")
    assert (turn.facts.species, str(turn.facts.grams)) == ("Chicken (bantam)", "600")


def test_a_syringe_by_its_size_is_no_weight():
    said = begun().say("the 2.5 mil syringe").reply.said
    assert said == "Each dose says which syringe, of those in your kit: 1, 2.5, 5 or 10 mL."
