"""The clock of the computer."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, tzinfo


class SystemClock:
    """The time of day where the computer is."""

    def now(self) -> datetime:
        """Now, in a zone that knows its summer time.

        The zone is a new one each time: Python counts between two times of one and the same zone by
        the wall clock, which is an hour off when the clocks change.
        """
        return datetime.now(UTC).astimezone(_Here())


class _Here(tzinfo):
    """Where the computer is: for each day the offset of that day, not that of today."""

    def utcoffset(self, at: datetime | None) -> timedelta | None:
        return None if at is None else _there(at).utcoffset()

    def dst(self, _at: datetime | None) -> None:
        """Not known, and nobody asks."""

    def tzname(self, at: datetime | None) -> str | None:
        return None if at is None else _there(at).tzname()

    def fromutc(self, at: datetime) -> datetime:
        there = at.replace(tzinfo=UTC).astimezone()
        here = there.replace(tzinfo=self)
        # in the hour that comes twice the second one is told by its fold
        return here if here.utcoffset() == there.utcoffset() else here.replace(fold=1)


def _there(at: datetime) -> datetime:
    """This time of day of the computer's, with the offset of that day."""
    return at.replace(tzinfo=None).astimezone()
