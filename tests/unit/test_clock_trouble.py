"""Clocks that are set back, keepers who travel, and the night on which the clocks change."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from assistant.conversation.turn import Status, Turn
from tests.talk_scene import Talk, begun, demo_holding

BIRD = "pepper 95 grams"
NEEDED = demo_holding().usual_medicine
assert NEEDED is not None
assert NEEDED.interval is not None
EARLIEST = NEEDED.interval.earliest_days


def dosed_at(when: datetime) -> Talk:
    """A named bird that was dosed then."""
    talk = begun()
    talk.at = when
    talk.say(BIRD, "given")
    return talk


def asked_at(talk: Talk, when: datetime) -> Turn:
    """What is answered for the same bird at another time."""
    talk.at = when
    return talk.say(BIRD)


def test_a_clock_that_was_set_back_does_not_open_the_guard():
    now = datetime(2026, 3, 20, 9, tzinfo=ZoneInfo("Australia/Sydney"))
    talk = dosed_at(now)

    turn = asked_at(talk, now - timedelta(days=400))

    assert turn.reason == "already_dosed"
    assert "is the clock right?" in turn.reply.said


def test_a_keeper_who_travels_east_has_no_shorter_interval():
    given = datetime(2026, 3, 1, 23, tzinfo=ZoneInfo("America/Los_Angeles"))
    talk = dosed_at(given)
    there = ZoneInfo("Australia/Sydney")
    here = given.astimezone(there)

    early = (here + timedelta(days=EARLIEST - 1)).replace(hour=23)
    assert asked_at(talk, early).reason == "already_dosed"
    due = (here + timedelta(days=EARLIEST)).replace(hour=1)
    assert asked_at(talk, due).status is Status.ANSWERED


@pytest.mark.parametrize(
    ("zone", "change"), [("Europe/London", (2026, 3, 29)), ("Australia/Sydney", (2026, 4, 5))]
)
def test_the_night_on_which_the_clocks_change_moves_no_day(zone: str, change: tuple[int, int, int]):
    night = datetime(*change, 0, 30, tzinfo=ZoneInfo(zone))
    given = night - timedelta(days=2)
    talk = dosed_at(given.replace(hour=23))

    last = (given + timedelta(days=EARLIEST - 1)).replace(hour=23, minute=50)
    assert asked_at(talk, last).reason == "already_dosed"
    first = (given + timedelta(days=EARLIEST)).replace(hour=0, minute=5)
    assert asked_at(talk, first).status is Status.ANSWERED
