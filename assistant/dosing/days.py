"""Days as they are said and printed, and where they end."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta


def day(when: date) -> str:
    """A day without its year: "3 March"."""
    return f"{when.day} {when:%B}"


def days_text(count: int) -> str:
    """A number of days: "1 day", "7 days"."""
    return "1 day" if count == 1 else f"{count} days"


def end_of(last: date, near: datetime) -> datetime:
    """The first moment after a day, in the time zone of `near`."""
    return datetime.combine(last + timedelta(days=1), time(), near.tzinfo)


def ends_with_day(until: datetime) -> bool:
    """Whether what lasts until this moment lasts for whole days."""
    return until.time() == time()


def last_day(until: datetime) -> date:
    """The last day of what lasts until this moment, if only for a part of it."""
    return (until - timedelta.resolution).date()
