"""A short round through `dosewren talk`: `python talk_round.py HOME FOLDER`.

Runs inside the virtual sound card.  A keeper says one phrase after another, and again what was not
heard.  Writes the sound of all that the command speaks into FOLDER (answers.wav), and prints what
it showed.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.sound.wav_writer import write_wav
from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.records import Voice
from assistant.bench.live.assistants import talking
from assistant.bench.live.keeper import Keeper
from assistant.bench.live.script import Bird, Order, Step, given
from assistant.bench.live.tapes import Mouth, Tape

VOICE = Voice("flite", "rms")
BIRD = Bird("Cockatiel", 95, "cockatiel")


def main(home: Path, folder: Path) -> int:
    steps: list[Step] = [Order("yes", "Ready"), *given(BIRD), Order("goodbye", "Goodbye")]
    quiet = np.zeros(EAR_RATE_HZ)
    with Tape("stage_ear") as ear, Mouth("stage_mouth", quiet) as mouth, talking(home) as assistant:
        began_s = time.monotonic()
        assistant.until("listening")
        keeper = Keeper(mouth, ear, SqliteRegister(home / "register.sqlite"))
        done = all(keeper.go_through(step, VOICE) for step in steps)
        code = assistant.ends() if done else None
        write_wav(ear.clip(began_s, time.monotonic()), folder / "answers.wav")
    sys.stdout.write("".join(assistant.shown))
    return 0 if code == 0 else 1


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2])))
