"""The clock of the computer: a day in winter is that day in summer too."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

import pytest

from assistant.adapters.system_clock import SystemClock


@pytest.fixture(params=["Europe/Berlin", "Australia/Sydney", "UTC"])
def zone(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[ZoneInfo]:
    """Give the zone that the computer is in."""
    monkeypatch.setenv("TZ", request.param)
    time.tzset()
    yield ZoneInfo(request.param)
    monkeypatch.undo()
    time.tzset()


def here() -> tzinfo:
    """The zone of the clock."""
    found = SystemClock().now().tzinfo
    assert found is not None
    return found


def test_each_quarter_of_an_hour_of_a_year_is_what_the_table_of_zones_says(zone: ZoneInfo):
    clock, first = here(), datetime(2026, 1, 1, tzinfo=UTC)
    for number in range(365 * 24 * 4):
        at = first + timedelta(minutes=15 * number)
        ours, theirs = at.astimezone(clock), at.astimezone(zone)
        assert (ours.isoformat(), ours.fold) == (theirs.isoformat(), theirs.fold)
        assert ours.timestamp() == at.timestamp()


def test_the_last_moment_of_a_day_months_away_has_the_offset_of_that_day(zone: ZoneInfo):
    for month in range(1, 13):
        ours = datetime(2026, month, 28, 23, 59, tzinfo=here())
        assert ours.isoformat() == ours.replace(tzinfo=zone).isoformat()
        assert ours.tzname() == ours.replace(tzinfo=zone).tzname()


@pytest.mark.usefixtures("zone")
def test_two_times_are_counted_by_what_passed_also_when_the_clocks_change():
    for month, day in ((3, 29), (4, 5), (10, 4), (10, 25)):
        earlier = datetime(2026, month, day, tzinfo=UTC) - timedelta(hours=12)
        later = earlier + timedelta(hours=24)
        assert later.astimezone(here()) - earlier.astimezone(here()) == timedelta(hours=24)


def test_now_is_now():
    before = datetime.now(UTC)
    assert before <= SystemClock().now() <= datetime.now(UTC)
