"""A round with mishaps, on virtual sound devices: `python broken_round.py HOME FOLDER`.

Runs inside the virtual sound card.  Microphone and speaker are taken away in the middle of a round
and brought back; then the assistant is killed while it speaks an answer, and started again.  Writes
what was said and answered (exchanges.json), and the sound of what it said first after the new start
(again.wav).
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.sound.wav_writer import write_wav
from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.records import Voice
from assistant.bench.live.assistants import Assistant, talking
from assistant.bench.live.keeper import Keeper
from assistant.bench.live.script import Bird, Order, Step, given
from assistant.bench.live.tapes import Mouth, Tape

VOICE = Voice("flite", "rms")
FIRST = Bird("Budgerigar", 31, "budgerigar")
OVER_THE_GAP = Bird("Galah", 320, "galah")
CUT_SHORT = Bird("Pepper, Cockatiel", 90, "pepper")
AFTERWARDS = Bird("Budgerigar", 34, "budgerigar")

GONE = "Plug it in again"
HEADSET = {"perch_in": 48_000, "perch_out": 44_100}
"""The two sinks: what is played to the first is the microphone, the second is the speaker."""

GONE_S = 3.0
INTO_THE_ANSWER_S = 1.0


def pactl(*words: str) -> str:
    return subprocess.run(["pactl", *words], check=True, capture_output=True, text=True).stdout


def take_away() -> None:
    """Unload both sinks, as when a headset runs flat: of one alone the other would take over."""
    modules = pactl("list", "short", "modules").splitlines()
    for line in modules:
        if any(f"sink_name={name}" in line for name in HEADSET):
            pactl("unload-module", line.split()[0])


def bring_back() -> None:
    for name, rate_hz in HEADSET.items():
        pactl("load-module", "module-null-sink", f"sink_name={name}", f"rate={rate_hz}")


class Scene:
    """A keeper with a register, through all mishaps."""

    def __init__(self, home: Path) -> None:
        self.register = SqliteRegister(home / "register.sqlite")
        self.report: list[dict[str, str]] = []

    @contextmanager
    def keeper(self) -> Iterator[Keeper]:
        """Somebody at the devices as they are now."""
        with Tape("stage_ear") as ear, Mouth("stage_mouth", np.zeros(EAR_RATE_HZ)) as mouth:
            keeper = Keeper(mouth, ear, self.register)
            yield keeper
        for one in keeper.exchanges:
            self.report.append({"said": one.said, "reply": one.entry.reply if one.entry else ""})

    def go(self, *steps: Step) -> None:
        """Bring the steps about, or end with what was said so far."""
        with self.keeper() as keeper:
            done = all(keeper.go_through(step, VOICE) for step in steps)
        if not done:
            raise AssertionError(self.report)


def lose_headset(scene: Scene, assistant: Assistant) -> None:
    """Between the dose and its end there is neither a microphone nor a speaker for a while."""
    scene.go(OVER_THE_GAP)
    take_away()
    if not assistant.until(GONE):
        raise AssertionError(assistant.shown)
    time.sleep(GONE_S)
    bring_back()
    scene.go(Order("given", "Given: Galah, 320 grams"))


def kill_in_the_answer(scene: Scene, assistant: Assistant) -> None:
    """A second into the answer, while its samples play."""
    with scene.keeper() as keeper:
        entry = None
        while entry is None or not entry.reply.startswith(CUT_SHORT.species):
            entry = keeper.begin(CUT_SHORT.request, VOICE)
        time.sleep(INTO_THE_ANSWER_S)
        scene.report.append({"said": "killed", "quiet_s": f"{keeper.quiet_s:.2f}"})
        assistant.kill()


def main(home: Path, folder: Path) -> int:
    scene = Scene(home)
    with talking(home) as assistant:
        assistant.until("listening")
        scene.go(Order("yes", "Ready"), *given(FIRST))
        lose_headset(scene, assistant)
        kill_in_the_answer(scene, assistant)
    with Tape("stage_ear") as ear, talking(home) as assistant:
        began_s = time.monotonic()
        assistant.until("listening")
        write_wav(ear.clip(began_s, time.monotonic()), folder / "again.wav")
        scene.go(Order("given", f"Given: {CUT_SHORT.species}, 90 grams"), Order("yes", "Ready"))
        scene.go(*given(AFTERWARDS), Order("goodbye", "Goodbye"))
        code = assistant.ends()
    (folder / "exchanges.json").write_text(json.dumps(scene.report, indent=1), "utf-8")
    return 0 if code == 0 else 1


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2])))
