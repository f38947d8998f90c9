"""When again: windows opened and closed by doses that were given."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.records.due import (
    Given,
    Standing,
    Whose,
    due_by,
    grouped,
    look_back_days,
    repeats,
)

FIRST = date(2026, 3, 1)
PEPPER = Whose("Cockatiel", bird="Pepper", ring="DEMO 12")
NAMELESS = Whose("Galah", cage="four")


def dose(day: int, whose: Whose = PEPPER, number: int = 1, course: int | None = 2) -> Given:
    """A dose on a day, with the window of 10 to 14 days."""
    on = FIRST + timedelta(days=day)
    return Given(f"{day}-{number}", whose, "Marigold Demo", on, 10, 14, course)


def left(*doses: Given) -> list[tuple[int, int]]:
    """For each open window, the day of its dose and which dose of the course comes next."""
    return [((one.after.on - FIRST).days, one.number) for one in repeats(doses)]


def test_a_window_runs_from_the_earliest_to_the_latest_day_both_included():
    (window,) = repeats([dose(0)])
    assert (window.earliest, window.latest) == (date(2026, 3, 11), date(2026, 3, 15))
    days = [window.standing(FIRST + timedelta(days=day)) for day in (9, 10, 14, 15)]
    assert days == [Standing.EARLY, Standing.DUE, Standing.DUE, Standing.LATE]


def test_a_window_that_spans_the_end_of_february_counts_real_days():
    (window,) = repeats([Given("d", PEPPER, "Marigold Demo", date(2028, 2, 20), 10, 14)])
    assert (window.earliest, window.latest) == (date(2028, 3, 1), date(2028, 3, 5))


def test_the_second_of_two_doses_ends_the_course():
    assert left(dose(0)) == [(0, 2)]
    assert left(dose(0), dose(12)) == []


def test_without_a_stated_course_every_dose_opens_the_next_window():
    assert left(dose(0, course=None), dose(12, course=None)) == [(12, 3)]


def test_a_dose_too_early_moves_a_known_birds_window():
    assert left(dose(0, course=3), dose(4, course=3)) == [(4, 3)]


def test_a_repeat_that_was_forgotten_begins_a_new_course():
    assert left(dose(0), dose(28)) == []
    assert left(dose(0), dose(29)) == [(29, 2)]


def test_a_known_bird_is_known_in_another_cage_and_another_case():
    moved = Whose("Cockatiel", cage="nine", ring="demo 12")
    assert left(dose(0, PEPPER), dose(12, moved)) == []


def test_another_medicine_has_a_window_of_its_own():
    thistle = Given("t", PEPPER, "Thistle Demo", FIRST, 1, 1)
    assert len(repeats([dose(0), thistle])) == 2


def test_nameless_birds_of_a_cage_are_counted_and_repeated_in_turn():
    first = [dose(0, NAMELESS, number) for number in range(1, 7)]
    again = [dose(11, NAMELESS, number) for number in range(1, 5)]
    assert left(*first, *again) == [(0, 2), (0, 2)]
    (group,) = grouped(repeats([*first, *again]))
    assert (group.birds, group.whose.cage, group.earliest) == (2, "four", date(2026, 3, 11))


def test_a_nameless_bird_dosed_outside_the_window_is_another_bird():
    assert left(dose(0, NAMELESS), dose(4, NAMELESS)) == [(0, 2), (4, 2)]
    # from the 29th day on the first window of 14 days is forgotten
    assert left(dose(0, NAMELESS), dose(28, NAMELESS)) == []
    assert left(dose(0, NAMELESS), dose(29, NAMELESS)) == [(0, 2), (29, 2)]


def test_nameless_birds_of_two_cages_are_not_mixed():
    other = Whose("Galah", cage="five")
    assert left(dose(0, NAMELESS), dose(11, other)) == [(0, 2), (11, 2)]


@pytest.mark.parametrize(
    ("today", "due"),
    [(3, False), (4, True), (14, True), (15, True), (28, True), (29, False)],
)
def test_this_week_holds_what_is_late_and_what_opens_in_seven_days(today: int, due: bool):  # noqa: FBT001 - a table's column
    found = due_by(repeats([dose(0)]), FIRST + timedelta(days=today))
    assert bool(found) is due


def test_a_look_back_covers_a_whole_course():
    assert look_back_days([(14, 2), (1, None)]) == 57
    assert look_back_days([]) == 0


doses_of_one_bird = st.lists(st.integers(0, 120), max_size=12, unique=True)


@given(doses_of_one_bird, st.randoms())
def test_any_order_of_the_rows_gives_the_same_windows(days: list[int], chance: Random):
    doses = [dose(day) for day in days]
    shuffled = list(doses)
    chance.shuffle(shuffled)
    assert repeats(shuffled) == repeats(doses)


@given(doses_of_one_bird)
def test_a_known_bird_never_has_two_windows_of_one_medicine(days: list[int]):
    found = repeats([dose(day) for day in days])
    assert len(found) <= 1
    assert all(one.after.on == FIRST + timedelta(days=max(days)) for one in found)


@given(st.integers(0, 30), st.integers(0, 30), st.integers(10, 14))
def test_of_nameless_birds_as_many_stay_due_as_were_not_repeated(first: int, again: int, day: int):
    doses = [dose(0, NAMELESS, one) for one in range(first)]
    doses += [dose(day, NAMELESS, one) for one in range(again)]
    found = repeats(doses)
    assert sum(one.number == 2 and one.after.on == FIRST for one in found) == max(first - again, 0)
    assert sum(one.after.on > FIRST for one in found) == max(again - first, 0)
