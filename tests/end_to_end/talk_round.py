"""A keeper at the microphone of `dosewren talk`: `python talk_round.py HOME ANSWERS RECORDING ...`.

Runs inside the virtual sound card.  Plays one recording after another, each when the command shows
that it listens again, records everything that the command speaks into the file ANSWERS, and prints
what it showed.
"""

from __future__ import annotations

import subprocess
import sys
import time
from typing import IO

from tests.adapters.sound.stage import perform, record

A_MOMENT_S = 0.8


def hold(home: str, answers: str, recordings: list[str]) -> int:
    command = [sys.executable, "-u", "-m", "assistant", "talk", "--home", home]
    with record(answers), subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as talk:
        assert talk.stdout is not None
        for recording in recordings:
            show_until_listening(talk.stdout)
            time.sleep(A_MOMENT_S)
            perform(recording)
        sys.stdout.write(talk.stdout.read())
        return talk.wait(60)


def show_until_listening(shown: IO[str]) -> None:
    for line in shown:
        sys.stdout.write(line)
        if "listening" in line:
            return
    raise EOFError("the talk ended before it listened")


if __name__ == "__main__":
    sys.exit(hold(sys.argv[1], sys.argv[2], sys.argv[3:]))
