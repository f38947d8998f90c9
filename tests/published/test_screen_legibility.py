"""Whether the dose can be read from three metres: the height of its digits as an angle.

ISO 9241-3, as quoted on IBM's "Healthy computing" page on character size: "The minimum character
height shall be 16 minutes of arc", 20 to 22 are preferred.  US NRC, NUREG-0700 rev. 2, 1.3.1-4, has
the same figures and the formula: height = 6.283 D (MA) / 21600, for an angle of MA minutes at the
distance D.  FAA Human Factors, "Character and symbol size": critical elements at least 20.
"""

from __future__ import annotations

import pytest

from assistant.adapters.screen.big_digits import big_digits

DISTANCE_MM = 3000
MINIMUM_ARCMIN, CRITICAL_ARCMIN = 16, 20
SMALL_BOARD_MM = 88.9 * 320 / (480**2 + 320**2) ** 0.5
"""The height of a screen of 3.5 inches and 480 by 320 pixels."""

BOARD_ROWS, BOARD_COLUMNS = 15, 40
ROWS_WITHOUT_QUESTION, ROWS_WITH_QUESTION = 7, 5


def minutes_of_arc(height_mm: float) -> float:
    """The formula above, turned round."""
    return height_mm * 21600 / (6.283 * DISTANCE_MM)


@pytest.mark.parametrize("volume", ["0.05", "0.47", "2.35", "12.5"])
@pytest.mark.parametrize(
    ("rows", "least"),
    [(ROWS_WITHOUT_QUESTION, CRITICAL_ARCMIN), (ROWS_WITH_QUESTION, MINIMUM_ARCMIN)],
)
def test_the_digits_on_a_small_board_are_high_enough_at_three_metres(
    volume: str, rows: int, least: int
):
    drawn = big_digits(volume, BOARD_COLUMNS - 5, rows)
    assert minutes_of_arc(len(drawn) * SMALL_BOARD_MM / BOARD_ROWS) >= least
