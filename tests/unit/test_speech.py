"""Replies in words that any synthesiser reads in one way only."""

from __future__ import annotations

import re

import pytest

from assistant.conversation.speech import speakable
from tests.talk_scene import begun


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0.48 mL.", "zero point four eight millilitres."),
        ("1 mL", "one millilitre"),
        ("95 grams", "ninety five grams"),
        ("1 gram", "one gram"),
        ("80 to 125 g", "eighty to one hundred and twenty five grams"),
        ("25 mg per mL", "twenty five milligrams per millilitre"),
        ("14 gauge, 75 mm", "fourteen gauge, seventy five millimetres"),
        ("2.4 %", "two point four percent"),
        ("1 in 10", "one in ten"),
        ("0.05 mL", "zero point zero five millilitres"),
        ("I do not know “stone”.", "I do not know stone."),
    ],
)
def test_figures_and_units_become_words(text: str, said: str):
    assert speakable(text) == said


def test_no_figure_or_sign_is_left_in_any_reply_of_a_round():
    talk = begun()
    talk.say("cockatiel 95", "no, 85", "given", "budgie 30", "rinsed the needle", "not given")
    talk.say("bag is twelve", "cockatiel 107", "given", "which needle", "which medicine", "help")
    talk.say("galah 0.4", "macaw 1.1 kg", "ostrich 95", "pepper 107", "given", "pepper 107")
    for turn in talk.turns:
        assert not re.search(r"[0-9%×“”…/]|\b(?:mL|mg|mm|kg)\b", speakable(turn.reply.said))
