"""The clock of the computer."""

from __future__ import annotations

from datetime import UTC, datetime


class SystemClock:
    """The time of day, with the local offset from UTC."""

    def now(self) -> datetime:
        """Now, with its offset."""
        return datetime.now(UTC).astimezone()
