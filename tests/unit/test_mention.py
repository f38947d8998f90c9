"""What the voice says of typed turns: short, and never a volume without its priming."""

from __future__ import annotations

import pytest

from assistant.conversation.emergency import EMERGENCY
from assistant.conversation.machine import UNGUARDED, unguarded
from assistant.conversation.mention import mention
from tests.talk_scene import begun


def mentioned(*phrases: str) -> str:
    return mention(begun().say(*phrases))


@pytest.mark.parametrize(
    ("phrases", "said"),
    [
        (
            ["pepper 95", "given"],
            "Typed. Given: Pepper, Cockatiel, 95 grams, 0.47 mL. Wipe the needle after every bird.",
        ),
        (["pepper 95"], "Typed. Pepper, Cockatiel, 95 grams. Say again to hear the dose."),
        (
            ["pepper 95", "no, eighty five"],
            "Typed. Corrected: Pepper, Cockatiel, 85 grams. Say again to hear the dose.",
        ),
        (["budgie 31", "rinsed the needle"], "Typed. Rinsed needle. Say again to hear all of it."),
        (["help"], ""),
        (["how many done"], ""),
        (["say again"], ""),
        (["blah blah"], ""),
    ],
)
def test_a_typed_turn_is_mentioned_in_a_few_words(phrases: list[str], said: str):
    assert mentioned(*phrases) == said


def test_an_end_and_the_next_bird_are_both_mentioned():
    words = mentioned("pepper 95", "budgie 31", "given")
    assert words.startswith("Typed. Given: Pepper, Cockatiel, 95 grams, 0.47 mL.")
    assert words.endswith("Next: Budgerigar, 31 grams. Say again to hear the dose.")
    assert "0.15 mL" not in words


def test_a_typed_question_is_put_aloud():
    assert mentioned("cockatiel") == f"Typed. {begun().say('cockatiel').reply.said}"


def test_what_to_do_in_an_emergency_and_warnings_are_said_whole():
    assert mentioned("budgie 31", "it's coughing") == EMERGENCY
    turn = unguarded(begun().say("budgie 31"))
    assert UNGUARDED.split(". ")[0] in mention(turn)
