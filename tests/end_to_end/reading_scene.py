"""A keeper who reads the first phrases of an enrolment: `python reading_scene.py HOME OUT FILE …`.

Runs inside the virtual sound card.  Plays each file when it is listened for; the recordings that
come of it are written into the folder OUT.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

from assistant.adapters.sound.wav_writer import write_wav
from assistant.commands.enrolling import Enrolling, recorded
from assistant.hearing.enrolment import phrases
from assistant.wiring import open_desk
from tests.adapters.sound.stage import perform
from tests.end_to_end.screen_of_talk import A_MOMENT_S, Screen

READER = "reader"


def read(home: str, out: str, count: int) -> None:
    desk = open_desk(home)
    to_read = phrases(desk.holding.aviary)[:count]
    for number, clip in enumerate(recorded(desk, to_read, Enrolling())):
        write_wav(clip, Path(out) / f"{number}.wav")


def hold(home: str, out: str, files: list[str]) -> int:
    command = [sys.executable, "-u", __file__, READER, home, out, str(len(files))]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as reader:
        assert reader.stdout is not None
        screen = Screen(reader.stdout)
        for file in files:
            if not screen.until_listening():
                reader.kill()
            time.sleep(A_MOMENT_S)
            perform(file)
        return reader.wait(60)


if __name__ == "__main__":
    if sys.argv[1] == READER:
        read(sys.argv[2], sys.argv[3], int(sys.argv[4]))
    else:
        sys.exit(hold(sys.argv[1], sys.argv[2], sys.argv[3:]))
