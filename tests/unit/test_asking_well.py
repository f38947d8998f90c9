"""Asking well: the shortest question that settles it, and at most two of them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.conversation.patience import SAY_AGAIN, SAY_THE_END, STAYS_ODD, WEIGH_AGAIN
from assistant.conversation.turn import Status, Turn
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.numerals import confusable
from tests.talk_scene import Talk, begun


def sure(words: str) -> Heard:
    return Heard(words, 0.97, channel=Channel.VOICE, engine="test ear")


def doubtful(words: str, *rivals: str, belief: float = 0.55) -> Heard:
    others = tuple(Alternative(one, 0.4 / len(rivals)) for one in rivals)
    return Heard(words, belief, others, Channel.VOICE, "test ear", doubtful=True)


def hear(talk: Talk, *utterances: Heard) -> Turn:
    return [talk.say(heard=one) for one in utterances][-1]


def said(*utterances: Heard) -> str:
    return hear(begun(), *utterances).reply.said


def test_rival_weights_that_sound_alike_are_said_both_ways():
    turn = said(doubtful("zebra finch fifteen grams", "zebra finch fifty grams"))
    # fifty grams is more than a zebra finch can weigh, so that only one is left to ask about
    assert turn == "Did you say Zebra finch, 15 grams, one five?"
    turn = said(doubtful("galah three hundred and thirty", "galah three hundred and thirteen"))
    assert turn == "Galah: 330, three three zero, or 313, three one three?"


def test_rival_weights_that_do_not_sound_alike_are_said_without_digits():
    assert said(doubtful("cockatiel ninety", "cockatiel eighty five")) == (
        "Cockatiel: 90 or 85 grams?"
    )


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [(15, 50, True), (180, 80, True), (113, 30, True), (95, 99, True), (330, 313, True),
     (95, 310, False), (90, 85, False), (60, 70, False), (14, 19, False)],
)  # fmt: skip
def test_numbers_are_confusable_by_their_words(one: int, other: int, alike: bool):  # noqa: FBT001 - a column of the table
    assert confusable(Decimal(one), Decimal(other)) is alike
    assert confusable(Decimal(other), Decimal(one)) is alike


def test_rival_birds_are_asked_about_by_name_with_the_weight_read_back():
    talk = begun()
    turn = hear(talk, doubtful("galah three hundred", "little corella three hundred"))
    assert turn.reply.said == "300 grams: Galah or Little corella?"
    turn = hear(talk, sure("little corella"))
    assert turn.facts.species == "Little corella"
    assert turn.facts.grams == 300


def test_with_both_in_doubt_the_one_that_settles_more_is_asked_about_first():
    weights = ("galah three thirty", "galah three ten", "little corella three ten")
    # most of the belief is on one bird, so that the weight leaves less in doubt
    turn = hear(talk := begun(), doubtful(*weights))
    assert turn.reply.said == "330 or 310 grams?"
    assert hear(talk, sure("three one zero")).reply.said == "310 grams: Galah or Little corella?"
    assert hear(talk, sure("galah")).status is Status.ANSWERED


def test_a_bird_that_was_never_said_back_is_confirmed_before_its_dose():
    talk = begun()
    hear(talk, doubtful("galah three thirty", "little corella four ten"))
    turn = hear(talk, sure("four ten"))
    assert turn.reply.said == "Did you say Little corella, 410 grams?"
    assert hear(talk, sure("yes")).facts.species == "Little corella"


def test_a_weight_that_was_never_said_back_is_confirmed_before_its_dose():
    utterance = Heard(
        "galah three thirty",
        0.5,
        (Alternative("budgie thirty one", 0.2), Alternative("little corella three thirty", 0.15)),
        Channel.VOICE,
        "test ear",
        doubtful=True,
    )
    turn = hear(talk := begun(), utterance)
    assert turn.reply.said == "Galah, Budgerigar or Little corella?"
    assert hear(talk, sure("budgie")).reply.said == "Did you say Budgerigar, 31 grams?"
    assert hear(talk, sure("yes")).facts.grams == 31


def test_with_no_rival_it_is_yes_or_no():
    talk = begun()
    turn = hear(talk, doubtful("cockatiel ninety five"))
    assert turn.reply.said == "Did you say Cockatiel, 95 grams?"
    assert hear(talk, sure("no")).reply.said.startswith("Dropped.")
    assert hear(talk, sure("yes")).status is Status.IGNORED


def test_a_doubtful_answer_settles_nothing_by_itself():
    talk = begun()
    turn = hear(talk, sure("cockatiel"), doubtful("ninety", "nineteen"))
    # nineteen grams is no weight of a cockatiel
    assert turn.reply.said == "Did you say Cockatiel, 90 grams, nine zero?"
    assert hear(talk, doubtful("yes")).status is Status.ASKED


def test_a_doubtful_yes_is_asked_about_as_such():
    talk = begun()
    turn = hear(talk, doubtful("cockatiel ninety five"), doubtful("yes"))
    assert turn.reply.said == "Was that yes or no?"
    assert hear(talk, sure("yes")).facts.grams == 95


def test_a_third_question_is_never_put_and_nothing_is_left_to_confirm():
    talk = begun()
    turn = hear(talk, *[doubtful("cockatiel ninety five")] * 3)
    assert turn.reply.said == WEIGH_AGAIN
    assert talk.state.question is None
    assert hear(talk, sure("yes")).status is Status.IGNORED
    assert hear(talk, sure("cockatiel nine five")).status is Status.ANSWERED


def test_sure_answers_may_take_two_questions_but_not_three():
    talk = begun()
    turn = hear(talk, sure("macaw"), sure("blue and gold"), sure("nine hundred and fifty"))
    assert turn.facts.grams == 950
    talk = begun()
    turn = hear(talk, sure("macaw"), sure("blue and gold"), doubtful("nine hundred and fifty"))
    assert turn.reply.said == WEIGH_AGAIN


def test_a_new_bird_begins_the_count_again():
    talk = begun()
    hear(talk, doubtful("cockatiel ninety five"), doubtful("yes"))
    assert hear(talk, sure("galah about three hundred")).reason == "guess"
    assert hear(talk, doubtful("three hundred")).reason == "heard"


def test_the_end_of_a_dose_in_doubt_is_asked_about_and_the_dose_stays_open():
    talk = begun()
    hear(talk, sure("cockatiel ninety five"))
    assert hear(talk, doubtful("given")).reply.said == "Did you say given?"
    turn = hear(talk, doubtful("yes"), doubtful("yes"))
    assert turn.reply.said == SAY_THE_END
    assert talk.state.open_dose is not None
    assert hear(talk, sure("given")).reply.said.startswith("Given:")


def test_a_command_in_doubt_is_dropped_after_two_questions():
    talk = begun()
    assert hear(talk, doubtful("goodbye")).reply.said == "Did you say goodbye?"
    assert hear(talk, doubtful("yes"), doubtful("yes")).reply.said == SAY_AGAIN
    assert talk.state.begun


def test_a_waiting_bird_that_was_not_heard_surely_is_asked_about_in_its_turn():
    talk = begun()
    hear(talk, sure("cockatiel ninety five"), doubtful("budgie thirty one"))
    turn = hear(talk, sure("given"))
    assert turn.reply.said.endswith("Next: Did you say Budgerigar, 31 grams?")


def test_typed_words_are_asked_about_as_often_as_it_takes():
    talk = begun()
    assert talk.say("macaw", "blue and gold", "0.95").reason == "unit"
    assert talk.say("kilos").facts.grams == 950


@pytest.mark.parametrize("phrase", ["cockatiel 95,5", "cockatiel 95,5 grams"])
def test_a_decimal_comma_is_told_how_to_be_written(phrase: str):
    turn = begun().say(phrase)
    assert (turn.status, turn.facts.dose) == (Status.ASKED, None)
    assert turn.reply.said == "“95,5” has a comma. Write a point and the unit, as in 95.5 grams."
    assert begun().say("cockatiel 95.5 grams").status is Status.ANSWERED


def test_a_light_weight_that_is_said_three_times_was_heard_and_is_to_be_checked():
    talk = begun()
    turn = hear(talk, sure("cockatiel forty five grams"), *[sure("forty five grams")] * 2)
    assert turn.reply.said == STAYS_ODD
    assert "not sure" not in turn.reply.said.lower()
    turn = hear(talk, sure("cockatiel forty five grams"), sure("healthy adult"))
    assert turn.facts.grams == 45
