"""The calendar file, read back by a general-purpose library and held against RFC 5545."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from assistant.adapters.paper.repeat_calendar import (
    Event,
    calendar_text,
    droppings_event,
    repeat_events,
)
from assistant.records.due import DueGroup, Whose
from assistant.records.due_sentences import DroppingsDue

NOW = datetime(2026, 3, 1, 8, 30, tzinfo=timezone(timedelta(hours=10)))
PEPPER = DueGroup(
    Whose("Cockatiel", "four", "Pepper"), "Marigold Demo", date(2026, 3, 11), date(2026, 3, 15),
    birds=1, fictional=True,
)  # fmt: skip


def read(*events: Event) -> list[Any]:
    calendar: Any = Calendar.from_ical(calendar_text(events, NOW))
    assert calendar["VERSION"] == "2.0"
    assert calendar.errors == []
    found = calendar.walk("VEVENT")
    assert [one.errors for one in found] == [[] for _ in events]
    return list(found)


def one_event(summary: str = "a dose", description: str = "weigh it") -> Event:
    return Event(("k",), date(2026, 3, 11), date(2026, 3, 15), summary, description)


def test_a_window_is_a_whole_day_event_that_ends_the_day_after_its_last_day():
    # RFC 5545, 3.6.1: the end of an event is not part of it
    (found,) = read(*repeat_events([PEPPER]))
    assert (found.start, found.end) == (date(2026, 3, 11), date(2026, 3, 16))
    assert found["SUMMARY"] == "Marigold Demo: Pepper (Cockatiel), four"
    assert "Demo medicine, never for a real bird." in found["DESCRIPTION"]
    assert found["DTSTAMP"].dt == datetime(2026, 2, 28, 22, 30, tzinfo=UTC)


def test_it_reminds_in_the_morning_of_the_first_day():
    (found,) = read(*repeat_events([PEPPER]))
    (alarm,) = found.walk("VALARM")
    assert (alarm["ACTION"], alarm["TRIGGER"].dt) == ("DISPLAY", timedelta(hours=8))


def test_birds_that_cannot_be_told_apart_are_one_event_with_their_number():
    galahs = DueGroup(
        Whose("Galah", "five"), "Marigold Demo", date(2026, 3, 11), date(2026, 3, 15), 6,
        fictional=False,
    )  # fmt: skip
    (found,) = read(*repeat_events([galahs]))
    assert found["SUMMARY"] == "Marigold Demo: 6 × Galah, five"
    assert "Demo" not in found["DESCRIPTION"]


def uid(group: DueGroup) -> str:
    return str(read(*repeat_events([group]))[0]["UID"])


def test_an_event_keeps_its_name_when_its_birds_or_its_cage_change_and_no_two_share_one():
    moved = DueGroup(
        Whose("Cockatiel", "nine", "Pepper"), "Marigold Demo", date(2026, 3, 11),
        date(2026, 3, 16), birds=1, fictional=True,
    )  # fmt: skip
    later = DueGroup(
        PEPPER.whose, "Marigold Demo", date(2026, 3, 12), date(2026, 3, 15), 1, fictional=True
    )
    assert uid(PEPPER) == uid(PEPPER) == uid(moved)
    assert uid(later) != uid(PEPPER)


def test_a_look_at_droppings_falls_the_days_after_the_last_one():
    (found,) = read(droppings_event(DroppingsDue(date(2026, 3, 1), 182), NOW.date()))
    assert (found.start, found.end) == (date(2026, 8, 30), date(2026, 8, 31))
    (never,) = read(droppings_event(DroppingsDue(None, 182), NOW.date()))
    assert never.start == date(2026, 3, 1)


def test_every_line_ends_with_crlf_and_holds_at_most_75_octets():
    # RFC 5545, 3.1: lines of text SHOULD NOT be longer than 75 octets, excluding the line break
    text = calendar_text([one_event("오카멜 🐦 " * 40, "x" * 300)], NOW)
    lines = text.split("\r\n")
    assert lines.pop() == ""
    assert "\n" not in "".join(lines)
    assert max(len(line.encode()) for line in lines) <= 75
    assert all(line.isprintable() for line in lines)


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("a, b; c\\d", "a\\, b\\; c\\\\d"),
        ("two\nlines", "two\\nlines"),
        ("two\r\nlines", "two\\nlines"),
        ("a bell\x07 and a half\ud800", "a bell and a half"),
    ],
)
def test_text_is_escaped_as_the_standard_says(text: str, written: str):
    # RFC 5545, 3.3.11: backslash, semicolon, comma and newline are escaped
    assert f"SUMMARY:{written}\r\n" in calendar_text([one_event(text)], NOW)


@given(st.text(st.characters(exclude_categories=["Cc", "Cs"]), min_size=1, max_size=200))
def test_whatever_is_written_comes_back_from_another_programs_reader(text: str):
    (found,) = read(one_event(text, text))
    assert (found["SUMMARY"], found["DESCRIPTION"]) == (text, text)


def test_no_name_can_add_a_line_of_its_own():
    (found,) = read(one_event("a\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:b"))
    assert found["SUMMARY"] == "a\nEND:VEVENT\nBEGIN:VEVENT\nSUMMARY:b"
