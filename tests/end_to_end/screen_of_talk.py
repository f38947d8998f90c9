"""What a talk shows, line by line, for the scenes that wait for it."""

from __future__ import annotations

import queue
import sys
import threading
from typing import IO

A_MOMENT_S = 0.8
PATIENCE_S = 60.0


class Screen:
    """What the command shows, line by line, without waiting for a line that never comes."""

    def __init__(self, shown: IO[str]) -> None:
        self._lines: queue.Queue[str | None] = queue.Queue()
        threading.Thread(target=self._read, args=(shown,), daemon=True).start()

    def _read(self, shown: IO[str]) -> None:
        for line in shown:
            self._lines.put(line)
        self._lines.put(None)

    def until_listening(self) -> bool:
        """Pass lines on until it listens again, or has ended; false when nothing came."""
        while True:
            try:
                line = self._lines.get(timeout=PATIENCE_S)
            except queue.Empty:
                return False
            if line is None:
                return True
            sys.stdout.write(line)
            if "listening" in line:
                return True
