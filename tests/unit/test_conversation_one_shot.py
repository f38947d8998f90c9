"""A single phrase, answered at once: what is answered, asked and ignored."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.conversation.turn import Status, Turn
from assistant.language.requests import Intent
from tests.fixture_tables import rows
from tests.talk_scene import Talk, setting


def once(phrase: str) -> Turn:
    return Talk(setting(one_shot=True)).say(phrase)


@pytest.mark.parametrize("row", rows("phrases/questions.csv"), ids=lambda row: row["phrase"])
def test_a_doubtful_phrase_is_asked_about_with_what_was_clear(row: dict[str, str]):
    turn = once(row["phrase"])
    facts = turn.facts
    assert turn.status is Status.ASKED
    assert turn.intent is Intent.DOSE
    assert turn.reason == row["reason"]
    assert (facts.bird or facts.species or "") == row["bird"]
    assert facts.grams == (Decimal(row["grams"]) if row["grams"] else None)


def test_it_waits_for_no_round_and_is_as_for_a_dry_needle():
    turn = once("cockatiel ninety five grams")
    assert turn.status is Status.ANSWERED
    assert turn.reply.said == (
        "Cockatiel, 95 grams. 0.47 mL of Marigold Demo, 1 in 10. Use the 1 mL syringe. "
        "Shake it. Dry needle: draw to 0.68 mL, fit it, tip up, push all air out, stop at 0.47 mL. "
        "Needle already full: draw to 0.47 mL only. "
        "Demo medicine, never for a real bird."
    )


@pytest.mark.parametrize(
    "phrase",
    ["given", "part given", "not given", "don't know", "wrong bird", "got away", "scratch that"],
)
def test_an_end_with_nothing_open_is_a_command_that_says_why(phrase: str):
    turn = once(phrase)
    assert turn.status is Status.COMMAND
    assert turn.reason == "nothing_open"
    assert any(word in turn.reply.said for word in ("No dose is open", "Nothing to scratch"))


@pytest.mark.parametrize(
    ("phrase", "reason"),
    [("", "empty"), (" \t ", "empty"), ("\x00\x07", "empty"), ("x" * 10_240, "too_long"),
     ("hello there", "not_understood"), ("what a lovely day", "not_understood"),
     ("'; DROP TABLE doses;--", "not_understood"), ("🐦", "not_understood")],
)  # fmt: skip
def test_what_is_of_no_use_is_ignored_with_an_example(phrase: str, reason: str):
    turn = once(phrase)
    assert turn.status is Status.IGNORED
    assert turn.intent is None
    assert turn.reason == reason
    assert "cockatiel ninety five grams" in turn.reply.said


@pytest.mark.parametrize(
    ("phrase", "word"),
    [("ostrich 95 grams", "ostrich"), ("cockatiel 95 stone", "stone"), ("cockatiel -95", "-95"),
     ("cockatiel 10^9 g", "10^9"), ("cockatiel nan g", "nan"), ("кокатиэль 95", "кокатиэль")],
)  # fmt: skip
def test_the_reply_names_the_offending_word(phrase: str, word: str):
    assert f"“{word}”" in once(phrase).reply.said


def test_a_long_word_is_quoted_only_in_part():
    assert len(once(f"cockatiel {'x' * 200} 95").reply.said) < 160


def test_absurd_weights_are_refused_and_implausible_ones_asked_about():
    refused, asked = once("cockatiel 1000000000 g"), once("cockatiel 200")
    assert refused.reason == "weight"
    assert "that cannot be right" in refused.reply.said
    assert asked.reason == "odd_weight"
    assert "Usually 80 to 125 grams" in asked.reply.said


def test_without_a_weight_the_usual_range_is_said_and_no_dose():
    said = once("cockatiel").reply.said
    assert said == "Cockatiel: what does it weigh? Usually 80 to 125 grams; weigh this bird."


def test_one_name_for_several_birds_asks_which_could_weigh_so_much():
    said = once("macaw 150 g").reply.said
    assert "Hahn's macaw" in said
    assert "Blue and gold" not in said
    assert "Scarlet macaw" in once("macaw").reply.said


def test_a_sound_alike_weight_is_read_back_digit_by_digit():
    assert once("budgie thirty").reply.said.startswith("Budgerigar, 30 grams, three zero. ")
    assert once("java sparrow 30.5 g").reply.said.startswith(
        "Java sparrow, 30.5 grams, three zero point five. "
    )


def test_a_medicine_named_with_the_bird_is_used():
    assert once("thistle for a cockatiel 95").facts.medicine == "Thistle Demo"
    assert once("how much marigold for a 95 gram cockatiel").facts.medicine == "Marigold Demo"


def test_ambiguous_numbers_are_asked_about():
    said = once("blue and gold macaw one kilo two").reply.said
    assert said == "Blue and gold macaw: 1200, one two zero zero, or 1002, one zero zero two?"
