"""How far one voice's strain lowers the bar: never far, and not at all after a wrong phrase."""

from __future__ import annotations

import pytest

from assistant.hearing.evidence import Evidence, Reading
from assistant.hearing.habit import (
    ENOUGH_RIGHT,
    MOST_HABIT,
    USUAL_STRAIN,
    Read,
    eased,
    strain_habit,
)


def reads(strain: float, count: int = 20) -> list[Read]:
    return [Read(strain, is_wrong=False)] * count


def test_the_habit_is_what_the_median_lies_above_the_usual():
    mixed = [*reads(USUAL_STRAIN + 1.0, 11), *reads(9.0, 5), *reads(0.0, 4)]
    assert strain_habit(mixed) == pytest.approx(1.0)


def test_a_voice_with_little_strain_raises_no_bar():
    assert strain_habit(reads(USUAL_STRAIN - 0.1)) == 0.0


def test_the_habit_has_a_ceiling():
    assert strain_habit(reads(50.0)) == MOST_HABIT


def test_one_phrase_surely_heard_wrong_leaves_the_bar_where_it_was():
    assert strain_habit([*reads(USUAL_STRAIN + 1.0), Read(None, is_wrong=True)]) == 0.0


def test_a_handful_of_right_phrases_shows_no_habit():
    few = [*reads(USUAL_STRAIN + 1.0, ENOUGH_RIGHT - 1), *[Read(None, is_wrong=False)] * 11]
    assert strain_habit(few) == 0.0


@pytest.mark.parametrize(
    ("strain", "habit", "left"), [(4.0, 1.0, 3.0), (4.0, 9.0, 2.5), (0.5, 1.0, 0.0), (4.0, -1, 4.0)]
)
def test_the_strain_is_eased_by_the_habit_within_its_bounds(
    strain: float, habit: float, left: float
):
    seconds = 1.5
    heard = Evidence((Reading("galah", -1.0, 1.0),), seconds, "galah", -1.0 + strain * 2.0)
    assert heard.strain == pytest.approx(strain)
    assert eased(heard, habit).strain == pytest.approx(left)
    assert eased(heard, habit).margin == heard.margin


def test_nothing_heard_is_not_eased_into_something():
    assert eased(Evidence((), 1.0, "", 3.0), 1.0) == Evidence((), 1.0, "", 3.0)
