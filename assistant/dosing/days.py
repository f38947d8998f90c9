"""Days as they are said and printed."""

from __future__ import annotations

from datetime import date


def day(when: date) -> str:
    """A day without its year: "3 March"."""
    return f"{when.day} {when:%B}"
