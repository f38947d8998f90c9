"""How soon it answers, aloud: `python -m assistant.bench.live_bench [ROUNDS]`, in a checkout.

Starts `dosewren talk` on one core between two virtual sound devices, speaks to it, and records both
devices on one clock.  Prints, as medians and worst cases of all answers, each stage between the end
of the speech in the one recording and the first sample of the answer in the other; how long it took
from the start to the first spoken word; and what it costs to listen to nobody.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import click
import numpy as np

from assistant.adapters.home.folder import Home
from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.records import Voice
from assistant.bench.acoustic.sound import Wave
from assistant.bench.live.assistants import Assistant
from assistant.bench.live.keeper import Keeper, sound
from assistant.bench.live.script import Bird, Order, Step, given
from assistant.bench.live.tapes import Mouth, Tape
from assistant.bench.processes import can_have_sound, has_sound, with_sound

VOICE = Voice("flite", "rms")
BIRDS = (
    Bird("Budgerigar", 31, "budgerigar"),
    Bird("Eastern rosella", 98, "eastern rosella"),
    Bird("Sun conure", 104, "sun conure"),
    Bird("Zebra finch", 14, "zebra finch"),
    Bird("Quaker parrot", 97, "quaker parrot"),
)
STAGES = {
    "end of speech to endpoint (the wait)": ("spoken", "thinking"),
    "endpoint to decision, in the register": ("thinking", "turn"),
    "decision to first sentence rendered": ("turn", "rendered"),
    "rendered to first sample at the speaker": ("rendered", "first"),
    "OWN WORK: endpoint to first sample": ("thinking", "first"),
    "ALL: end of speech to first sample": ("spoken", "first"),
}
_IDLE_S = 20.0
_LOUD = 0.02
_NEAR_S = 2.0

Marks = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Ran:
    """What one run gave: the times of each answer, and the times and costs around them."""

    answers: Sequence[Marks]
    to_word_s: float
    to_listening_s: float
    idle_share: float


def phrase_end(tape: Tape, wave: Wave, from_s: float, to_s: float) -> float:
    """When the last sample of a phrase was at the microphone: where the recording fits it best."""
    recorded = tape.wave(from_s, to_s)
    size = 1 << (len(recorded) + len(wave)).bit_length()
    fits = np.fft.irfft(np.fft.rfft(recorded, size) * np.conj(np.fft.rfft(wave, size)), size)
    loud = np.flatnonzero(np.abs(wave) > _LOUD * np.abs(wave).max())
    return from_s + float(np.argmax(fits[: len(recorded)]) + loud[-1]) / EAR_RATE_HZ


def first_sample(tape: Tape, from_s: float, to_s: float) -> float:
    """When the speaker was first heard after a time."""
    loud = np.flatnonzero(np.abs(tape.wave(from_s, to_s)) > _LOUD / 4)
    return from_s + float(loud[0]) / EAR_RATE_HZ if len(loud) else to_s


def _stamps(lines: Sequence[str]) -> list[tuple[str, float]]:
    marks = [json.loads(line) for line in lines if line.startswith("{")]
    return [(mark["what"], mark["at"]) for mark in marks]


def _after(stamps: Sequence[tuple[str, float]], what: str, at: float) -> float:
    return next((when for name, when in stamps if name == what and when >= at), float("nan"))


@contextmanager
def _stamped(home: Path, stamps: Path) -> Iterator[Assistant]:
    command = [sys.executable, "-u", "-m", "assistant.bench.live.stamped", str(home)]
    with (
        stamps.open("w") as log,
        subprocess.Popen(  # noqa: S603 - our own program
            command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=log, text=True
        ) as process,
    ):
        if process.stdout is None:
            raise AssertionError(command)
        try:
            yield Assistant(process, process.stdout)
        finally:
            process.kill()


def _busy_s(pid: int) -> float:
    """The processor time that a process has used, in seconds."""
    fields = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _idle_share(pid: int) -> float:
    began_s, busy_s = time.monotonic(), _busy_s(pid)
    time.sleep(_IDLE_S)
    return (_busy_s(pid) - busy_s) / (time.monotonic() - began_s)


def hold(folder: Path) -> Ran:
    """One round, inside the virtual sound card."""
    home, log = folder / "home", folder / "stamps"
    with Tape("perch_microphone") as room, Tape("stage_ear") as ear:
        began_s = time.monotonic()
        with Mouth("stage_mouth", np.zeros(EAR_RATE_HZ)) as mouth, _stamped(home, log) as assistant:
            assistant.until("listening")
            listening_s = time.monotonic()
            keeper = Keeper(mouth, ear, SqliteRegister(home / "register.sqlite"))
            steps: list[Step] = [Order("yes", "Ready")]
            for bird in BIRDS:
                steps += given(bird)
            for step in steps:
                keeper.go_through(step, VOICE)
            idle = _idle_share(assistant.pid)
            keeper.go_through(Order("goodbye", "Goodbye"), VOICE)
        stamps = _stamps(log.read_text("utf-8").splitlines())
        answers = [
            _marks(one.asked_s, sound(VOICE, one.said), (room, ear), stamps)
            for one in keeper.exchanges
            if one.entry is not None and one.entry.status != "ignored"
        ]
        word_s = first_sample(ear, began_s, listening_s) - began_s
    return Ran(answers, word_s, listening_s - began_s, idle)


def _marks(
    asked_s: float, wave: Wave, tapes: tuple[Tape, Tape], stamps: Sequence[tuple[str, float]]
) -> Marks:
    room, ear = tapes
    spoken = phrase_end(room, wave, asked_s, asked_s + len(wave) / EAR_RATE_HZ + _NEAR_S)
    marks = {"spoken": spoken, "thinking": _after(stamps, "thinking", spoken)}
    marks["turn"] = _after(stamps, "turn", marks["thinking"])
    marks["first"] = first_sample(ear, marks["turn"], marks["turn"] + 10)
    rendered = _after(stamps, "rendered", marks["turn"])
    # what was rendered ahead is ready at once, and the next rendering is that of something else
    marks["rendered"] = rendered if rendered < marks["first"] else marks["turn"]
    return marks


def report(runs: Sequence[Ran]) -> Iterator[str]:
    """The table in Markdown."""
    answers = [one for ran in runs for one in ran.answers]
    yield f"| {len(answers)} answers, one core | median ms | worst ms |"
    yield "|---|---:|---:|"
    for name, (first, last) in STAGES.items():
        took = [1000 * (one[last] - one[first]) for one in answers]
        yield f"| {name} | {statistics.median(took):.0f} | {max(took):.0f} |"
    word = statistics.median(ran.to_word_s for ran in runs)
    yield f"| start to first spoken word, ears and microphone ready | {1000 * word:.0f} | |"
    idle = statistics.median(ran.idle_share for ran in runs)
    yield f"| listening to nobody: share of one core | {100 * idle:.1f} % | |"


def main(rounds: int) -> None:
    """Measure and print."""
    runs = []
    for _ in range(rounds):
        with tempfile.TemporaryDirectory() as name:
            home = Home(Path(name) / "home")
            make_demo(home)
            runs.append(hold(Path(name)))
    click.echo("\n".join(report(runs)))


if __name__ == "__main__":
    count = sys.argv[1] if len(sys.argv) > 1 else "2"
    if has_sound():
        main(int(count))
    elif not can_have_sound():
        sys.exit("This needs a checkout, whose tests bring the virtual sound devices.")
    else:
        sys.exit(with_sound("assistant.bench.live_bench", [count]))
