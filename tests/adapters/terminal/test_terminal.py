from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.terminal.plain import BARREL_WIDTH, drawn_syringe, folded, printable
from assistant.dosing.dose import Dose
from assistant.dosing.syringe import Syringe


def a_dose(volume: str, draw_to: str, capacity: str = "1") -> Dose:
    return Dose(
        exact_ml=Fraction(volume),
        volume_ml=Decimal(volume),
        syringe=Syringe(Decimal(capacity), Decimal("0.01")),
        rounding_percent=Decimal(0),
        scale_percent=Decimal(0),
        dead_ml=Decimal("0.2"),
        draw_to_ml=Decimal(draw_to),
    )


def test_the_plunger_stands_at_the_dose_and_the_first_mark_above_it():
    assert drawn_syringe(a_dose("0.5", "0.75")).splitlines() == [
        "                                     v draw to 0.75 mL first",
        "  ---<[====================|                    ]  0.5 mL",
        "       0                   ^ 0.5               1",
    ]


def test_a_full_needle_has_one_mark_only():
    assert "draw to" not in drawn_syringe(a_dose("0.5", "0.5"))


@given(st.integers(1, 100))
def test_the_plunger_is_within_half_a_column_of_the_dose(hundredths: int):
    volume = Decimal(hundredths) / 100
    barrel = drawn_syringe(a_dose(str(volume), str(volume))).splitlines()[0]
    shown = Decimal(barrel.index("|") - barrel.index("[") - 1) / BARREL_WIDTH
    assert abs(shown - volume) <= Decimal("0.5") / BARREL_WIDTH


def test_long_lines_are_folded_at_spaces_to_the_width_of_the_terminal(
    monkeypatch: pytest.MonkeyPatch,
):
    monkeypatch.setenv("COLUMNS", "20")
    lines = folded("draw past the mark to 0.68 mL, fit the needle").splitlines()
    assert all(len(line) <= 20 for line in lines)
    assert " ".join(" ".join(lines).split()) == "draw past the mark to 0.68 mL, fit the needle"


def test_words_of_another_terminal_cannot_steer_this_one():
    assert printable("\x1b[2Jbjörn\x07\n鳥 95") == "·[2Jbjörn·\n鳥 95"
