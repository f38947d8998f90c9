"""Our command on a day of our choice: `python on_a_day.py 2026-03-01T08:00:00+10:00 ask -`.

The system's clock is the only thing that is put in place of another; the time goes on from there.
"""

from __future__ import annotations

import sys
import time
from datetime import datetime, timedelta

from assistant.adapters.system_clock import SystemClock
from assistant.cli import main

BEGUN = time.monotonic()
START = datetime.fromisoformat(sys.argv.pop(1))


def now(_: SystemClock) -> datetime:
    """The day of our choice, and the time since this program began."""
    return START + timedelta(seconds=time.monotonic() - BEGUN)


SystemClock.now = now  # type: ignore[method-assign, assignment]  # the one thing that a test cannot wait for
main()
