"""What is typed with a question mark changes nothing: it asks how things stand."""

from __future__ import annotations

import pytest

from assistant.conversation.entries import DoseEndEntry
from assistant.dosing.needle import NeedleState
from tests.talk_scene import begun


@pytest.mark.parametrize(
    "phrase",
    ["given?", "all gone in ?", "um, not given?", "spat some out?", "got away?", "is it given",
     "has it all gone down?", "was that given"],
)  # fmt: skip
def test_a_question_about_a_dose_does_not_end_it(phrase: str):
    talk = begun()
    talk.say("cockatiel 95")

    assert "Was it given?" in talk.say(phrase).reply.said
    assert talk.state.open_dose is not None
    assert not [row for row in talk.entries if isinstance(row, DoseEndEntry)]
    assert talk.say("given!").reply.said.startswith("Given: Cockatiel")


@pytest.mark.parametrize("phrase", ["needle is full?", "the needle's primed?", "rinsed it?"])
def test_a_question_about_the_needle_fills_none(phrase: str):
    talk = begun()
    assert "is dry." in talk.say(phrase).reply.said
    assert talk.state.needle_state is NeedleState.DRY


def test_a_question_about_a_bird_gets_its_dose():
    assert "0.47 mL" in begun().say("cockatiel 95?").reply.said
