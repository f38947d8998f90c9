"""What is due, in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from assistant.records.due import DueGroup, Whose
from assistant.records.due_sentences import (
    DroppingsDue,
    droppings_line,
    due_lines,
    due_said,
)

PEPPER = DueGroup(
    Whose("Cockatiel", bird="Pepper"), "Marigold Demo", date(2026, 3, 11), date(2026, 3, 15), 1,
    fictional=True,
)  # fmt: skip


@pytest.mark.parametrize(
    ("today", "said"),
    [
        (date(2026, 3, 6), "due from 11 March to 15 March"),
        (date(2026, 3, 11), "due now, until 15 March"),
        (date(2026, 3, 15), "due today at the latest"),
        (date(2026, 3, 16), "late: it was due until 15 March"),
        (date(2025, 12, 30), "due from 11 March 2026 to 15 March 2026"),
    ],
)
def test_a_window_is_told_by_how_it_stands_today(today: date, said: str):
    assert due_lines([PEPPER], today) == (f"Pepper, Cockatiel: Marigold Demo, {said}.",)


@pytest.mark.parametrize(
    ("whose", "birds", "said"),
    [
        (Whose("Cockatiel", "four", "Pepper", "DEMO 12"), 1, "Pepper, Cockatiel, cage four"),
        (Whose("Cockatiel", ring="DEMO 12"), 1, "ring DEMO 12, Cockatiel"),
        (Whose("Galah", "Cage 4"), 6, "Galah, 6 birds, cage 4"),
        (Whose("Galah"), 1, "Galah"),
    ],
)
def test_birds_are_told_by_what_is_known_of_them(whose: Whose, birds: int, said: str):
    (line,) = due_lines([replace(PEPPER, whose=whose, birds=birds)], date(2026, 3, 1))
    assert line.startswith(f"{said}: ")


def test_a_window_of_one_day_is_told_as_that_day():
    one = replace(PEPPER, latest=PEPPER.earliest)
    assert due_lines([one], date(2026, 3, 1)) == (
        "Pepper, Cockatiel: Marigold Demo, due on 11 March.",
    )
    assert "due today." in due_lines([one], PEPPER.earliest)[0]


def test_aloud_only_a_few_are_named_and_each_is_to_be_weighed():
    said = due_said([f"Bird {number}." for number in range(6)])
    assert "Bird 3." in said
    assert "Bird 4." not in said
    assert "And 2 more" in said
    assert said.endswith("Weigh each bird again first.")


@pytest.mark.parametrize(
    ("days", "said"), [(1, "today"), (7, "this week"), (30, "in the next 30 days")]
)
def test_nothing_due_is_said_with_its_span(days: int, said: str):
    assert due_said((), days) == f"Nothing is due {said}."


def test_droppings_are_due_the_stated_days_after_the_last_look():
    looks = DroppingsDue(date(2026, 3, 1), 182)
    assert looks.on == date(2026, 8, 30)
    assert [looks.is_due(date(2026, 8, day)) for day in (23, 24, 30)] == [False, True, True]
    assert droppings_line(looks, date(2026, 8, 24)) == (
        "Droppings: due from 30 August, last checked on 1 March."
    )
    assert "due now" in droppings_line(looks, date(2026, 8, 30))


def test_droppings_never_looked_at_are_due_at_once():
    never = DroppingsDue(None, 182)
    assert never.is_due(date(2026, 3, 1))
    assert "no check is in the register" in droppings_line(never, date(2026, 3, 1))
