"""A second terminal at `dosewren talk`: `python talk_typed_into.py HOME ANSWERS`.

Runs inside the virtual sound card.  Once the command listens, another process types a bird and its
end into the round; everything that is spoken goes into the file ANSWERS.  Then the talk is killed
in the middle, and what the other process says of that is printed last.
"""

from __future__ import annotations

import subprocess
import sys
import time
from typing import IO

from tests.adapters.sound.stage import record
from tests.end_to_end.screen_of_talk import Screen

LINES = ("yes", "budgie 31", "given")
PAUSE_S = 4.0
SPOKEN_BY_S = 11.0
"""By then the voice has mentioned a line."""


def typed(home: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "assistant", "ask", "--json", "-", "--home", home]
    pipe = subprocess.PIPE
    return subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=sys.stdout, text=True)


def type_in(guest: subprocess.Popen[str], line: str) -> str:
    answers, words = stream(guest.stdout), stream(guest.stdin)
    words.write(f"{line}\n")
    words.flush()
    return answers.readline()


def stream(found: IO[str] | None) -> IO[str]:
    assert found is not None
    return found


def hold(home: str, answers: str) -> int:
    command = [sys.executable, "-u", "-m", "assistant", "talk", "--home", home]
    with record(answers), subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as talk:
        assert Screen(stream(talk.stdout)).until_listening()
        time.sleep(PAUSE_S)
        with typed(home) as guest:
            for line in LINES:
                sys.stdout.write(type_in(guest, line))
                time.sleep(SPOKEN_BY_S)
            talk.kill()
            talk.wait()
            sys.stdout.write(type_in(guest, "cockatiel 95"))
            stream(guest.stdin).close()
            sys.stdout.flush()
            return guest.wait(60)


if __name__ == "__main__":
    sys.exit(hold(sys.argv[1], sys.argv[2]))
