"""Which windows for a next dose are open, read from the register."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final

from assistant.adapters.register import SqliteRegister
from assistant.dosing.medicine import Medicine
from assistant.records.due import Repeat, look_back_days, repeats

LEAST_LOOK_BACK_DAYS: Final = 60
"""How far doses are looked back at, also for a medicine that the file has no longer."""


def open_windows(
    register: SqliteRegister, medicines: Sequence[Medicine], today: date
) -> tuple[Repeat, ...]:
    """The windows that are open today, from as few rows as tell them; raises RegisterProblem."""
    intervals = {one.name: one.interval for one in medicines if one.interval is not None}
    windows = ((one.latest_days, one.course_doses) for one in intervals.values())
    back = max(look_back_days(windows), LEAST_LOOK_BACK_DAYS)
    return repeats(register.given_since(today - timedelta(days=back), intervals))
