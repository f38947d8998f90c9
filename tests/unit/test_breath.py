"""Two things said in one breath: both taken in order and read back, or neither of them."""

from __future__ import annotations

import pytest

from assistant.conversation.breath import BAG_FIRST, CAGE_FIRST, NEEDLE_FIRST
from assistant.conversation.emergency import EMERGENCY
from assistant.conversation.entries import DoseEnd, DoseEndEntry
from assistant.conversation.turn import Status, Turn
from assistant.language.heard import Channel, Heard
from tests.talk_scene import Talk, begun, setting


def ends(turn: Turn) -> list[DoseEnd]:
    return [row.end for row in turn.entries if isinstance(row, DoseEndEntry)]


def with_pepper() -> Talk:
    talk = begun()
    talk.say("pepper 95")
    return talk


@pytest.mark.parametrize(
    ("phrase", "end"),
    [
        ("given, next galah three thirty", DoseEnd.GIVEN),
        ("given and the next one's a galah, three thirty", DoseEnd.GIVEN),
        ("took the lot, then galah 330", DoseEnd.GIVEN),
        ("spat some out, next bird galah 330", DoseEnd.PART_GIVEN),
        ("he got away, next galah 330 grams", DoseEnd.NOT_GIVEN),
    ],
)
def test_an_end_and_the_next_bird_are_both_taken_and_read_back(phrase: str, end: DoseEnd):
    turn = with_pepper().say(phrase)
    assert ends(turn) == [end]
    assert (turn.facts.species, str(turn.facts.grams)) == ("Galah", "330")
    before, after = turn.reply.said.split(" Next: ")
    assert before.startswith(f"{end.words.capitalize()}: Pepper, Cockatiel, 95 grams, 0.47 mL.")
    assert after.startswith("Galah, 330 grams, three three zero. 1.6 mL.")


@pytest.mark.parametrize(
    "phrase", ["given galah 330", "given, cockatiel ninety five", "not given the galah"]
)
def test_a_bird_after_an_end_is_the_next_one_only_where_it_is_said(phrase: str):
    talk = with_pepper()
    turn = talk.say(phrase)
    assert (turn.reply.said, ends(turn)) == (
        "One at a time. Say how it went first, then the next bird.", [],
    )  # fmt: skip
    assert talk.say("given").reply.said.startswith("Given: Pepper, Cockatiel, 95 grams")


def test_done_and_the_next_bird_asks_how_the_open_dose_went():
    talk = with_pepper()
    assert "Was it given?" in talk.say("done, next galah 330").reply.said
    assert talk.say("given").facts.species == "Galah"


def test_an_end_with_no_open_dose_takes_neither():
    turn = begun().say("given, next galah 330")
    assert (turn.reply.said, turn.status) == (
        "No dose is open. Say the next bird by itself.", Status.ASKED,
    )  # fmt: skip


def test_a_bird_said_anew_takes_the_place_of_the_one_that_waited():
    turn = with_pepper_and_a_budgie_waiting().say("given, next galah 330")
    assert (ends(turn), turn.facts.species) == ([DoseEnd.GIVEN], "Galah")


def test_a_bird_that_waits_is_not_passed_over_for_a_cage():
    turn = with_pepper_and_a_budgie_waiting().say("given, cage five")
    assert ends(turn) == []
    assert turn.reply.said == "One at a time. Say how it went first, then the cage."


def with_pepper_and_a_budgie_waiting() -> Talk:
    talk = with_pepper()
    talk.say("budgie 36")
    return talk


@pytest.mark.parametrize(
    ("phrase", "then"),
    [
        ("given, and the bag is twelve now", "Bag, 12 grams: taken off each weight from now on."),
        ("took it, cage five", "Cage 5."),
        ("given, new needle", "New needle, dry."),
        ("given, how many is that", "1 bird given."),
        ("given, finish the round", "1 bird given. Goodbye."),
    ],
)
def test_what_else_follows_an_end_is_done_after_it(phrase: str, then: str):
    turn = with_pepper().say(phrase)
    assert ends(turn) == [DoseEnd.GIVEN]
    assert turn.reply.said.startswith(f"Given: Pepper, Cockatiel, 95 grams, 0.47 mL. {then}")


@pytest.mark.parametrize(
    ("phrase", "cage"),
    [
        ("cage four, cockatiel, ninety five grams", "4"),
        ("cage twenty four cockatiel 95", "24"),
        ("cage 4 with 6 birds, cockatiel ninety five", "4"),
    ],
)
def test_a_cage_and_its_first_bird_are_both_taken(phrase: str, cage: str):
    talk = begun()
    turn = talk.say(phrase)
    assert talk.state.sitting.cage == cage
    assert turn.reply.said.startswith(f"Cage {cage}")
    assert (turn.facts.species, str(turn.facts.grams)) == ("Cockatiel", "95")


def test_a_cage_and_its_birds_are_taken_while_another_bird_waits_for_the_round():
    talk = Talk(setting())
    talk.say("cockatiel 95")
    said = talk.say("cage two, galahs").reply.said
    assert "Next: Galah: what does it weigh?" in said
    assert talk.state.sitting.cage == "2"


def test_a_number_that_may_be_of_the_cage_or_of_the_weight_is_neither():
    talk = begun()
    assert talk.say("cage four ninety cockatiel").reply.said == CAGE_FIRST
    assert talk.state.sitting.cage is None


def test_no_cage_is_entered_while_a_dose_is_open():
    talk = with_pepper()
    said = talk.say("cage four, cockatiel ninety").reply.said
    assert said == "One at a time. Say how it went first, then the cage and the next bird."
    assert (talk.state.sitting.cage, talk.state.pending is not None) == (None, True)


@pytest.mark.parametrize(
    "phrase", ["cockatiel ninety five, bag's twelve", "bag is twelve, cockatiel ninety five"]
)
def test_a_bag_beside_a_weight_is_to_be_said_by_itself(phrase: str):
    talk = begun()
    assert talk.say(phrase).reply.said == BAG_FIRST
    assert (talk.state.tare_g, talk.state.pending) == (None, None)


def test_the_needle_and_the_next_bird_are_both_taken():
    said = begun().say("needle is primed, cockatiel ninety six").reply.said
    assert said.startswith("Needle full of this medicine. Next: Cockatiel, 96 grams. 0.48 mL")
    assert "Needle full: draw to 0.48 mL only." in said
    assert "Dry needle:" in begun().say("new needle, cockatiel 96").reply.said


@pytest.mark.parametrize("word", ["full", "dry", "rinsed", "primed"])
def test_a_word_before_a_bird_is_of_no_needle_that_is_not_named(word: str):
    talk = begun()
    assert talk.say(f"{word} cockatiel 95").status is Status.ASKED
    assert (talk.state.pending, talk.state.needle_state) == (None, begun().state.needle_state)


def test_the_needle_is_said_by_itself_while_something_is_open():
    talk = Talk(setting())
    assert talk.say("needle is primed, cockatiel ninety six").reply.said == NEEDLE_FIRST
    talk = with_pepper()
    assert talk.say("rinsed the needle, cockatiel ninety six").reply.said == NEEDLE_FIRST
    assert talk.state.pending is not None


def test_an_alarm_after_an_end_comes_first():
    turn = with_pepper().say("given, but he coughed")
    assert turn.reply.said.startswith(f"{EMERGENCY} Given: Pepper")
    assert begun().say("given, but he coughed").reply.said == EMERGENCY


def test_what_an_ear_is_not_sure_of_is_not_taken_for_two_things():
    heard = Heard("given next galah three thirty", 0.5, (), Channel.VOICE, "ear", doubtful=True)
    talk = with_pepper()
    assert talk.say(heard=heard).status is Status.IGNORED
    assert talk.state.pending is not None


@pytest.mark.parametrize(
    "phrase",
    ["given next 330", "all in, next one's 330", "took it, the next bird weighs 330 grams"],
)
def test_an_end_and_the_weight_of_the_next_bird_ask_only_which_bird_it_is(phrase: str):
    talk = with_pepper()
    turn = talk.say(phrase)
    assert ends(turn) == [DoseEnd.GIVEN]
    assert "330" in turn.reply.said
    assert "Which bird?" in turn.reply.said
    assert (talk.say("galah").facts.species, str(talk.turns[-1].facts.grams)) == ("Galah", "330")


def test_an_end_and_a_next_weight_without_a_dose_say_that_none_is_open():
    turn = begun().say("given next 330")
    assert turn.reply.said == "No dose is open. Say the next bird by itself."


def test_the_weight_of_the_next_bird_puts_none_right():
    talk = with_pepper()
    talk.say("given")
    assert "Which bird?" in talk.say("next one's 330").reply.said
    assert talk.say("next one").reply.said == "Which bird, and what does it weigh?"
