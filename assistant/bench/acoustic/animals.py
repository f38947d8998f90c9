"""Birds: calls made by frequency modulation, and recorded ones where a package brings them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic import recorded
from assistant.bench.acoustic.chance import pick
from assistant.bench.acoustic.sound import Wave, rms

Chance = np.random.Generator
Call = Callable[[Chance], Wave]


def _time(seconds: float) -> Wave:
    return np.arange(int(seconds * EAR_RATE_HZ)) / EAR_RATE_HZ


def _swell(time: Wave) -> Wave:
    """Loudness that rises and falls over the call."""
    return np.sin(np.pi * np.linspace(0, 1, len(time))) ** 0.7


def _sung(pitch_hz: Wave, overtones: int = 2) -> Wave:
    """A voice whose pitch follows the line given."""
    turns = 2 * np.pi * np.cumsum(pitch_hz) / EAR_RATE_HZ
    total = sum(np.sin(n * turns) / n**1.5 for n in range(1, overtones + 1))
    return np.asarray(total, dtype=np.float64)


def chirp(chance: Chance) -> Wave:
    """A short sweep up or down, as of a finch."""
    time = _time(float(chance.uniform(0.04, 0.16)))
    ends = chance.uniform(2200, 6500, 2)
    return _swell(time) * _sung(np.linspace(ends[0], ends[1], len(time)))


def whistle(chance: Chance) -> Wave:
    """A long note that bends once, as of a cockatiel."""
    time = _time(float(chance.uniform(0.2, 0.7)))
    low = float(chance.uniform(1200, 2600))
    bend = low * (1 + chance.uniform(-0.3, 0.5) * np.sin(np.pi * time / time[-1]))
    return _swell(time) * _sung(bend)


def trill(chance: Chance) -> Wave:
    """A note that shakes quickly, as of a canary."""
    time = _time(float(chance.uniform(0.3, 1.4)))
    middle, width = float(chance.uniform(2500, 5000)), float(chance.uniform(300, 1200))
    shake = np.sin(2 * np.pi * chance.uniform(14, 38) * time)
    return _swell(time) * _sung(middle + width * shake) * (0.6 + 0.4 * shake)


def squawk(chance: Chance) -> Wave:
    """A harsh scream rich in overtones, as of a parrot."""
    time = _time(float(chance.uniform(0.15, 0.8)))
    pitch = float(chance.uniform(500, 1500)) * (1 + 0.25 * np.sin(np.pi * time / time[-1]))
    rough = pitch * (1 + 0.08 * np.sin(2 * np.pi * chance.uniform(60, 160) * time))
    rough += 60 * chance.standard_normal(len(time))
    return _swell(time) * np.tanh(2 * _sung(rough, overtones=8))


def warble(chance: Chance) -> Wave:
    """A run of short syllables of many kinds, as of a budgerigar."""
    parts: list[Wave] = []
    for _ in range(int(chance.integers(5, 16))):
        time = _time(float(chance.uniform(0.03, 0.11)))
        ends = chance.uniform(1500, 5500, 3)
        line = np.interp(np.linspace(0, 2, len(time)), [0, 1, 2], ends)
        parts += [_swell(time) * _sung(line, overtones=3), np.zeros(int(chance.uniform(0, 700)))]
    return np.concatenate(parts)


def word_like(chance: Chance) -> Wave:
    """Two or three voiced syllables with moving resonances, as of a parrot that talks."""
    parts: list[Wave] = []
    for _ in range(int(chance.integers(2, 4))):
        time = _time(float(chance.uniform(0.12, 0.3)))
        pitch = float(chance.uniform(250, 500)) * (1 + 0.1 * np.sin(2 * np.pi * 4 * time))
        voice = _sung(pitch, overtones=12)
        first, second = chance.uniform(400, 900), chance.uniform(1200, 2600)
        shape = 1 + np.sin(2 * np.pi * first * time) + 0.7 * np.sin(2 * np.pi * second * time)
        parts += [_swell(time) * voice * shape, np.zeros(int(chance.uniform(400, 2000)))]
    return np.concatenate(parts)


def _flock(chance: Chance, samples: int, calls: tuple[Call, ...], per_second: float) -> Wave:
    """Calls of several kinds at chance moments and distances, with quiet between them."""
    out = np.zeros(samples)
    for _ in range(max(1, int(chance.poisson(per_second * samples / EAR_RATE_HZ)))):
        call = pick(chance, calls)(chance)
        start = int(chance.integers(-len(call) // 2, samples))
        begin, skip = max(0, start), max(0, -start)
        piece = call[skip : skip + samples - begin]
        loudness = chance.uniform(0.15, 1.0) / max(rms(call), 1e-6)
        out[begin : begin + len(piece)] += loudness * piece
    return out + 1e-4 * chance.standard_normal(samples)


def chirps(chance: Chance, samples: int) -> Wave:
    """Small birds: chirps and whistles."""
    return _flock(chance, samples, (chirp, chirp, whistle), 4.0)


def parrots(chance: Chance, samples: int) -> Wave:
    """Parrots: squawks, warbles, trills, and one that nearly talks."""
    return _flock(chance, samples, (squawk, squawk, warble, trill, word_like), 1.6)


def recorded_birds(chance: Chance, samples: int) -> Wave:
    """Recorded calls of many birds, at chance moments and at speeds a little off."""
    paths = recorded.bird_calls()
    return _flock(chance, samples, tuple(_played(path) for path in paths), 1.0)


def _played(path: Path) -> Call:
    def call(chance: Chance) -> Wave:
        wave = recorded.recording(path)
        start = int(chance.integers(max(1, len(wave) // 2)))
        return wave[start : start + int(chance.uniform(0.5, 3.0) * EAR_RATE_HZ)]

    return call
