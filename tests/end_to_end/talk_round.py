"""A keeper at the microphone of `dosewren talk`: `python talk_round.py HOME ANSWERS RECORDING ...`.

Runs inside the virtual sound card.  Plays one recording after another, each when the command shows
that it listens again, and once more where it was not heard, as a keeper would.  Records everything
that the command speaks into the file ANSWERS, and prints what it showed.
"""

from __future__ import annotations

import queue
import subprocess
import sys
import threading
import time
from typing import IO

from tests.adapters.sound.stage import perform, record

A_MOMENT_S = 0.8
PATIENCE_S = 60.0
TRIES = 3


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


def hold(home: str, answers: str, recordings: list[str]) -> int:
    command = [sys.executable, "-u", "-m", "assistant", "talk", "--home", home]
    with record(answers), subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as talk:
        assert talk.stdout is not None
        screen = Screen(talk.stdout)
        heard = screen.until_listening()
        for recording in recordings:
            for _ in range(TRIES):
                time.sleep(A_MOMENT_S)
                perform(recording)
                heard = screen.until_listening()
                if heard:
                    break
            if not heard:
                talk.kill()
        screen.until_listening()
        return talk.wait(60)


if __name__ == "__main__":
    sys.exit(hold(sys.argv[1], sys.argv[2], sys.argv[3:]))
