"""Where an utterance begins and ends in noise: `python -m assistant.bench.endpoint_bench [COUNT]`.

Lays COUNT phrases in voices of the development part into one long stretch of each noise, which goes
on before, between and after them, and prints what became of each phrase: whole and alone, merged
(with more than `MOST_AROUND_S` of noise beside it, or going on past the limit), cut, or missed; and
how many utterances without a phrase, and how many seconds in all, an ear is given in a minute.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import click
import numpy as np

from assistant.adapters.sound.endpointing import Utterance, utterances
from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.bench.acoustic.chance import generator, pick
from assistant.bench.acoustic.kept_plans import kept_plan
from assistant.bench.acoustic.mixing import HISS, SPEECH_LEVEL
from assistant.bench.acoustic.noises import noise
from assistant.bench.acoustic.parts import size
from assistant.bench.acoustic.records import Kind, Part
from assistant.bench.acoustic.sound import Wave, decibels, rms, speech_level, to_clip
from assistant.bench.acoustic.store import Store, default_cache

GAP_S = 5.0
"""How long there is only noise between two phrases."""

MOST_AROUND_S = 1.5
"""As much noise before or after a phrase as still leaves it alone; a pause belongs to it."""

_TOLERANCE_S = 0.06
_CLIP_S = 0.02
_SCREECHES = "screeches"
_CONDITIONS = (
    ("quiet", None),
    ("chirps", 10.0),
    (_SCREECHES, 10.0),
    ("chirps", 5.0),
    (_SCREECHES, 5.0),
    ("white", 10.0),
    ("brown", 10.0),
    ("gusts", 10.0),
    ("music", 10.0),
    ("clicks", 10.0),
)


@dataclass(frozen=True, slots=True)
class Stream:
    """One long sound, and from which second to which somebody speaks."""

    wave: Wave
    phrases: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Row:
    """What became of the phrases of a stream."""

    fates: tuple[str, ...]
    others: int
    given_s: float
    busy_s: float


def screeches(chance: np.random.Generator, samples: int) -> Wave:
    """Harsh calls of large birds: a gliding pitch with overtones, broken up; invented."""
    out = 1e-4 * chance.standard_normal(samples)
    for _ in range(samples // EAR_RATE_HZ):
        length = min(int(chance.uniform(0.2, 0.9) * EAR_RATE_HZ), samples // 2)
        start = int(chance.integers(samples - length))
        ends = chance.uniform(700, 2200, 2)
        turns = np.cumsum(np.linspace(ends[0], ends[1], length)) * 2 * np.pi / EAR_RATE_HZ
        call = sum(np.sin(n * turns) / n for n in (1, 2, 3, 4)) * np.hanning(length)
        broken = 0.6 + 0.4 * np.sin(np.arange(length) * chance.uniform(40, 90) * 6.28 / EAR_RATE_HZ)
        out[start : start + length] += chance.uniform(0.2, 1.0) * call * broken
    return np.asarray(out / rms(out), dtype=np.float64)


def stream(phrases: Sequence[Wave], kind: str, snr_db: float | None) -> Stream:
    """The phrases in one stretch of noise, at a ratio as the acoustic bench has it."""
    places, pieces, now = [], [np.zeros(int(GAP_S * EAR_RATE_HZ))], GAP_S
    for phrase in phrases:
        pieces += [phrase, np.zeros(int(GAP_S * EAR_RATE_HZ))]
        places.append((now, now + len(phrase) / EAR_RATE_HZ))
        now += (len(phrase) + len(pieces[0])) / EAR_RATE_HZ
    wave = np.concatenate(pieces)
    chance = generator(f"{kind} {snr_db}")
    wave = wave + HISS * chance.standard_normal(len(wave))
    if snr_db is not None:
        wave += SPEECH_LEVEL / decibels(snr_db) * _noise(kind, chance, len(wave))
    return Stream(wave, tuple(places))


def _noise(kind: str, chance: np.random.Generator, samples: int) -> Wave:
    if kind == _SCREECHES:
        return screeches(chance, samples)
    return noise(kind, chance, samples, lambda _: np.zeros(1))


def judge(sound: Stream) -> Row:
    """What the endpointer makes of a stream."""
    pcm = to_clip(sound.wave).pcm
    begun = time.process_time()
    found = list(utterances(_clips(pcm)))
    busy_s = time.process_time() - begun
    spans = list(_spans(pcm, found))
    fates = tuple(_fate(phrase, spans) for phrase in sound.phrases)
    others = sum(1 for b, e, _ in spans if not any(b < y and x < e for x, y in sound.phrases))
    return Row(fates, others, sum(e - b for b, e, _ in spans), busy_s)


def _clips(pcm: bytes) -> Iterator[Clip]:
    step = int(_CLIP_S * EAR_RATE_HZ) * BYTES_PER_SAMPLE
    for at in range(0, len(pcm), step):
        yield Clip(pcm[at : at + step])


def _spans(pcm: bytes, found: Sequence[Utterance]) -> Iterator[tuple[float, float, bool]]:
    """From when to when each utterance lasts: no stretch of noise comes twice."""
    after = 0
    for one in found:
        after = pcm.index(one.clip.pcm, after)
        begins_s = after / BYTES_PER_SAMPLE / EAR_RATE_HZ
        yield begins_s, begins_s + one.clip.seconds, one.complete
        after += BYTES_PER_SAMPLE


def _fate(phrase: tuple[float, float], spans: Sequence[tuple[float, float, bool]]) -> str:
    begins, ends = phrase
    over = [span for span in spans if span[0] < ends and begins < span[1]]
    if not over:
        return "missed"
    around = [span for span in over if span[0] - _TOLERANCE_S <= begins <= ends <= span[1]]
    if not around:
        return "cut" if all(complete for _, _, complete in over) else "merged"
    first, last, complete = around[0]
    alone = complete and begins - first <= MOST_AROUND_S and last - ends <= MOST_AROUND_S
    return "whole" if alone else "merged"


def spoken(count: int) -> list[Wave]:
    """So many phrases at the usual level, each in the voice that the bench gives it."""
    cache = default_cache(os.environ)
    plan = kept_plan(cache, Part.DEVELOPMENT, size("quick"), frozenset({Kind.DOSE}))
    store = Store(cache, {Part.DEVELOPMENT: plan.talkers})
    chance = generator("endpoint bench")
    trials = [pick(chance, plan.trials) for _ in range(count)]
    said = [store.clean(trial.voice, trial.phrase) for trial in trials if trial.voice]
    return [wave / speech_level(wave) * SPEECH_LEVEL for wave in said]


def main(count: int) -> None:
    """Measure and print."""
    fates = ("whole", "merged", "cut", "missed")
    click.echo("| noise | " + " | ".join(fates) + " | others/min | s given/min | processor s/min |")
    click.echo("|---|" + "---:|" * 7)
    phrases = spoken(count)
    for kind, snr_db in _CONDITIONS:
        sound = stream(phrases, kind, snr_db)
        row, minutes = judge(sound), len(sound.wave) / EAR_RATE_HZ / 60
        cells = [str(row.fates.count(fate)) for fate in fates]
        rates = [f"{x / minutes:.1f}" for x in (row.others, row.given_s)]
        name = kind if snr_db is None else f"{kind} {snr_db:g} dB"
        click.echo(
            f"| {name} | " + " | ".join([*cells, *rates, f"{row.busy_s / minutes:.2f}"]) + " |"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
