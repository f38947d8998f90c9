"""Hours of rounds in simulated time: `python -m assistant.bench.soak_bench [BIRDS]`.

A keeper made of several synthesised voices goes through BIRDS birds (500), fifty to a round, over
noise that never stops.  Everything but the sound card and the clock is real: the endpointer cuts
the phrases out of the noise, the ears decode each recording, the conversation answers, SQLite keeps
the rows, the voice renders the words.  Every weight is another, so that no recording is heard
twice.  Prints memory, descriptors, latency and what the register lost, from the first tenth to the
last; the exit code is 1 where a row is missing.
"""

from __future__ import annotations

import os
import sqlite3
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import cycle, islice
from pathlib import Path

import click
import numpy as np

from assistant.adapters.home.folder import Home
from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.register.rescue import damage
from assistant.adapters.register.rows import laid_out
from assistant.adapters.register.seal import digest
from assistant.adapters.sound.endpointing import utterances
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.noises import noise
from assistant.bench.acoustic.records import Voice
from assistant.bench.acoustic.sound import Wave, decibels, speech_level, to_clip
from assistant.bench.acoustic.voices import speech
from assistant.bench.live.script import DONE, Bird, Order, Reply, Step, given
from assistant.conversation.entries import Entry
from assistant.conversation.speech import speakable
from assistant.language.heard import Channel, Heard
from assistant.session import Session
from assistant.wiring import Desk, open_desk, open_ears, open_voice

A_ROUND = 50
LEVEL = 0.05
SNR_DB = 20.0
VOICES = (
    Voice("flite", "rms"),
    Voice("espeak", "en-us+m3", 0.95),
    Voice("flite", "slt"),
    Voice("espeak", "en-gb+f3", 0.95),
    Voice("flite", "awb"),
)
SPECIES = (
    ("Budgerigar", "budgerigar", 26, 45),
    ("Galah", "galah", 230, 380),
    ("Eastern rosella", "eastern rosella", 70, 115),
    ("Sun conure", "sun conure", 80, 125),
    ("Quaker parrot", "quaker parrot", 75, 125),
    ("Rainbow lorikeet", "rainbow lorikeet", 90, 145),
    ("Indian ringneck", "indian ringneck", 95, 140),
)
_QUIET_S = 1.0
_CLIP = EAR_RATE_HZ // 50
_MOST_TRIES = 8
_TENTH = 10


class SimulatedClock:
    """A clock that goes on by what is said, and not by what the machine takes."""

    def __init__(self) -> None:
        self._now = datetime(2026, 3, 1, 8, tzinfo=UTC)

    def now(self) -> datetime:
        """The time in the aviary."""
        return self._now

    def pass_s(self, seconds: float) -> None:
        """Let time pass."""
        self._now += timedelta(seconds=seconds)


@dataclass(frozen=True, slots=True)
class Figures:
    """The process after so many birds."""

    birds: int
    megabytes: float
    descriptors: int
    answer_ms: float


@dataclass(slots=True)
class Tally:
    """What was acknowledged aloud, to be found in the register."""

    recordings: int = 0
    given: int = 0
    rows: list[Entry] = field(default_factory=list)
    unsettled: int = 0
    took_ms: list[float] = field(default_factory=list)


class Aviary:
    """One place with its noise, its ears, its voice and its register."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._ears = open_ears(desk, None)
        self._voice = open_voice(desk.holding.kit)
        self._clock = SimulatedClock()
        self._noise = _noise(60 * EAR_RATE_HZ)
        self._at = 0
        self.tally = Tally()
        self.begin_round()

    def begin_round(self) -> None:
        """Begin a conversation of its own, in the same process."""
        setting = self._desk.session().setting
        self._session = Session(setting, self._desk.register, self._clock)

    def go_through(self, step: Step, voice: Voice) -> bool:
        """Say what the step wants until it is done."""
        phrase = step.opening
        for _ in range(_MOST_TRIES):
            reply = self._say(phrase, voice)
            if (onward := step.react(reply)) == DONE:
                return True
            phrase = onward
        return False

    def _say(self, phrase: str, voice: Voice) -> Reply:
        wave = speech(voice, phrase)
        clips = self._in_the_noise(wave / speech_level(wave) * LEVEL)
        last = Reply("ignored", "")
        for utterance in utterances(clips):
            last = self._answer(utterance.clip, complete=utterance.complete)
        return last

    def _answer(self, clip: Clip, *, complete: bool) -> Reply:
        began = time.perf_counter()
        self._ears.begin(self._session.expected)
        self._ears.feed(clip)
        heard = self._ears.finish() if complete else Heard("", 0.0, channel=Channel.VOICE)
        turn = self._session.hear(heard)
        seconds = 0.0
        if not turn.silent:
            seconds = self._voice.render(speakable(turn.reply.said)).seconds
            self.tally.took_ms.append(1000 * (time.perf_counter() - began))
        self.tally.recordings += 1
        self.tally.rows += turn.entries
        self._clock.pass_s(clip.seconds + seconds)
        return Reply(turn.status.value, turn.reply.said)

    def _in_the_noise(self, wave: Wave) -> Iterator[Clip]:
        quiet = np.zeros(int(_QUIET_S * EAR_RATE_HZ))
        sound = np.concatenate((quiet, wave, quiet))
        places = np.arange(self._at, self._at + len(sound)) % len(self._noise)
        self._at += len(sound)
        mixed = sound + self._noise[places]
        for at in range(0, len(mixed), _CLIP):
            yield to_clip(mixed[at : at + _CLIP])


def _noise(samples: int) -> Wave:
    made = noise("chirps", generator("soak"), samples, lambda _: np.zeros(1))
    return made * LEVEL / decibels(SNR_DB)


def birds() -> Iterator[Bird]:
    """Birds of usual weights, round and round through the species and what each can weigh."""
    chance = generator("soak birds")
    for name, called, low, high in cycle(SPECIES):
        yield Bird(name, int(chance.integers(low, high)), called)


def figures(count: int, took_ms: Sequence[float]) -> Figures:
    """What this process needs now."""
    status = Path("/proc/self/status").read_text("utf-8")
    kilobytes = int(status.partition("VmRSS:")[2].split()[0])
    descriptors = len(os.listdir("/proc/self/fd"))  # noqa: PTH208 - names are enough
    return Figures(count, kilobytes / 1024, descriptors, statistics.median(took_ms))


def soak(aviary: Aviary, count: int) -> Iterator[Figures]:
    """Go through the birds; figures after each tenth of them."""
    tally, since = aviary.tally, 0
    for number, bird in enumerate(islice(birds(), count)):
        voice = VOICES[number % len(VOICES)]
        if number % A_ROUND == 0:
            if number:
                aviary.go_through(Order("goodbye", "Goodbye"), voice)
                aviary.begin_round()
            aviary.go_through(Order("yes", "Ready"), voice)
        if all(aviary.go_through(step, voice) for step in given(bird)):
            tally.given += 1
        else:
            tally.unsettled += 1
            aviary.go_through(Order("scratch that", "Scratched"), voice)
        if (number + 1) % (count // _TENTH) == 0:
            yield figures(number + 1, tally.took_ms[since:])
            since = len(tally.took_ms)


def lost(register: Path, tally: Tally) -> int:
    """How many of the rows that a turn was given out with the register does not hold as they were.

    Each row has its seal, and a register is whole only where each row fits its own.
    """
    if damage(register) is not None:
        return len(tally.rows)
    with closing(sqlite3.connect(register)) as opened:
        kept = Counter(opened.execute("SELECT table_name, digest FROM seal"))
    given_out = Counter((table, digest(row)) for table, row in map(laid_out, tally.rows))
    return (given_out - kept).total()


def main(count: int) -> int:
    """Soak and print."""
    with tempfile.TemporaryDirectory() as folder:
        make_demo(Home(Path(folder) / "home"))
        desk = open_desk(str(Path(folder) / "home"))
        aviary = Aviary(desk)
        began = time.monotonic()
        click.echo("| birds | memory MB | descriptors | median ms to the rendered answer |")
        click.echo("|---:|---:|---:|---:|")
        for now in soak(aviary, count):
            click.echo(
                f"| {now.birds} | {now.megabytes:.0f} | {now.descriptors} | {now.answer_ms:.0f} |"
            )
        missing, tally = lost(desk.home.register_file, aviary.tally), aviary.tally
        click.echo(
            f"\n{tally.recordings} recordings decoded, {tally.given} birds given, "
            f"{tally.unsettled} not brought to an end; {missing} rows lost; "
            f"{(time.monotonic() - began) / 60:.1f} minutes."
        )
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 500))
