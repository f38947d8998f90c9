"""The worst that ears can be given: `python -m assistant.bench.worst_bench [EAR …]`.

Prints, for sounds of 12 s that are no speech to them, the processor time for each second of sound,
what an ear makes of them, and the most memory that its process held (with about 85 MiB of bench).
The ears are those of the acoustic bench by name; each is opened in a process of its own.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context

import click
import numpy as np

from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.chance import generator, pick
from assistant.bench.acoustic.desk import open_bench_desk
from assistant.bench.acoustic.ears import opener
from assistant.bench.acoustic.noises import noise
from assistant.bench.acoustic.parts import declared
from assistant.bench.acoustic.plan import talkers
from assistant.bench.acoustic.records import Kind, Part, Phrase
from assistant.bench.acoustic.sound import Wave, to_clip
from assistant.bench.acoustic.store import Store, default_cache
from assistant.bench.acoustic.voices import is_here

SECONDS = 11.9
"""As long as an utterance may be; of a longer one nothing is heard, which costs nothing."""

EARS = ("moonshine", "pocketsphinx", "usual")

_SAMPLES = int(SECONDS * EAR_RATE_HZ)
_FULL_OF_TALK = 0.1


@dataclass(frozen=True, slots=True)
class Cost:
    """What hearing one sound took: processor seconds for each second of it, and what came out."""

    rate: float
    words: str


def _noise(kind: str, level: float = 0.1) -> Callable[[], Wave]:
    return lambda: level * noise(kind, generator(f"worst {kind}"), _SAMPLES, lambda _: np.zeros(1))


def _talk() -> Callable[[np.random.Generator], Wave]:
    """Somebody of the development part says a sentence of a licence."""
    parts = declared(Part.DEVELOPMENT)
    people = talkers(parts, tuple(voice for voice in parts.voices if is_here(voice)))
    store = Store(default_cache(os.environ), {})

    def talk(chance: np.random.Generator) -> Wave:
        voice, words = pick(chance, people)
        return store.clean(voice, Phrase(Kind.CHATTER, words))

    return talk


def _babble() -> Wave:
    return _FULL_OF_TALK * noise("babble", generator("worst babble"), _SAMPLES, _talk())


def _one_talker() -> Wave:
    talk, chance = _talk(), generator("worst talker")
    pieces = [talk(chance) for _ in range(12)]
    return np.concatenate(pieces)[:_SAMPLES]


def _square() -> Wave:
    return np.where(np.arange(_SAMPLES) * 220 % EAR_RATE_HZ < EAR_RATE_HZ / 2, 1.0, -1.0)


SOUNDS: Mapping[str, Callable[[], Wave]] = {
    "chirps": _noise("chirps"),
    "babble": _babble,
    "one talker without end": _one_talker,
    "white noise": _noise("white"),
    "white noise, overloaded": _noise("white", 2.0),
    "square wave at full scale": _square,
    "clicks": _noise("clicks"),
    "music": _noise("music"),
    "silence": lambda: np.zeros(_SAMPLES),
}


def costs(name: str) -> tuple[dict[str, Cost], float]:
    """What each sound costs these ears, and the peak of this process's memory in MiB (Linux)."""
    ears = opener(name)(open_bench_desk().desk, {})
    found = {}
    for sound, make in SOUNDS.items():
        clip = to_clip(make())
        begun = time.process_time()
        ears.begin()
        ears.feed(clip)
        heard = ears.finish()
        spent = time.process_time() - begun
        asked = " (asks)" if heard.words and heard.doubtful else ""
        found[sound] = Cost(spent / clip.seconds, heard.words + asked)
    return found, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main(names: Sequence[str]) -> None:
    """Measure and print."""
    for name in names:
        with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
            found, peak_mib = pool.submit(costs, name).result()
        worst = max(cost.rate for cost in found.values())
        click.echo(f"\n{name}: at worst {worst:.2f} s a second, at most {peak_mib:.0f} MiB\n")
        click.echo("| sound of 12 s | processor s per s | heard |\n|---|---:|---|")
        for sound, cost in found.items():
            click.echo(f"| {sound} | {cost.rate:.2f} | {cost.words or '–'} |")


if __name__ == "__main__":
    main(sys.argv[1:] or EARS)
