from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from assistant.adapters.home.folder import Home
from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.terminal.needle_measuring import measure_needle
from assistant.errors import DataProblem, UsageProblem
from tests.adapters.conftest import Piped


@pytest.fixture
def demo(home: Path) -> Home:
    made = Home(home)
    make_demo(made)
    return made


def measured(demo: Home, *answers: str) -> str:
    prompter = Piped(list(answers))
    measure_needle(demo, prompter)
    return "\n".join(prompter.said)


def test_a_needle_is_measured_by_drawing_and_written_down(demo: Home):
    before = demo.kit_file.read_text("utf-8")
    said = measured(demo, "1", "draw", "1 0.79", "1.0 mL, 0.78 mL", "0.9 0.70", "", "yes")
    assert "holds 0.21 mL: the mean of 3 tries, 0.02 mL apart" in said
    assert "A dose of 0.1 mL: unprimed, 0 mL would reach the bird" in said
    assert demo.kit().default_needle.measured_ml == Decimal("0.21")
    after = demo.kit_file.read_text("utf-8")
    assert after.replace('measured = "0.21 mL"\n', "", 1) == before


def test_a_needle_is_measured_by_weighing_warm_water(demo: Home):
    tries = ["4.31 4.72"] * 3
    measured(demo, "2", "weigh", "99", "30", *tries, "", "yes")
    # 0.41 g of water at 30 degrees, at 0.99565 g/mL
    assert demo.kit().needles[1].measured_ml == Decimal("0.412")
    assert demo.kit().needles[0].measured_ml is None


def test_a_slip_of_the_finger_is_asked_again(demo: Home):
    said = measured(
        demo, "3", "1", "guess", "draw", "0.79 1", "1", "1 0.8", "1 0.8", "", "1 0.8", "", "no"
    )
    for complaint in (
        "Type a number from 1 to 2.",
        "Type draw or weigh.",
        "the plunger stands lower than before",
        "Write both marks in mL",
    ):
        assert complaint in said
    assert said.endswith("Nothing was written.")
    assert demo.kit().default_needle.measured_ml is None


def test_tries_that_lie_apart_are_not_written(demo: Home):
    said = measured(demo, "1", "draw", "1 0.79", "1 0.6", "1 0.8", "")
    assert "too far apart to be believed" in said
    assert demo.kit().default_needle.measured_ml is None


def test_answers_that_end_leave_the_file_as_it_was(demo: Home):
    before = demo.kit_file.read_bytes()
    with pytest.raises(UsageProblem):
        measured(demo, "1", "draw", "1 0.79")
    assert demo.kit_file.read_bytes() == before


def test_a_kit_that_changes_meanwhile_is_not_written_over(demo: Home):
    class Meddling(Piped):
        def ask(self, question: str, default: str) -> str:
            """Change the needle while the last question is asked."""
            if question.startswith("Write 0.21"):
                text = demo.kit_file.read_text("utf-8")
                demo.kit_file.write_text(text.replace("gauge = 14", "gauge = 15"), "utf-8")
            return super().ask(question, default)

    tries = ["1 0.79"] * 3
    with pytest.raises(DataProblem, match="were changed while this one was measured"):
        measure_needle(demo, Meddling(["1", "draw", *tries, "", "yes"]))
    assert demo.kit().default_needle.measured_ml is None
