"""Short knocks: clicks of a switch, and things that fall."""

from __future__ import annotations

import numpy as np

from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.sound import Wave

Chance = np.random.Generator


def clicks(chance: Chance, samples: int) -> Wave:
    """Dry clicks, single and in quick rows."""
    out = 1e-3 * chance.standard_normal(samples)
    for _ in range(max(1, int(chance.poisson(2.0 * samples / EAR_RATE_HZ)))):
        start = int(chance.integers(samples))
        for repeat in range(int(chance.integers(1, 5))):
            place = start + int(repeat * chance.uniform(0.03, 0.12) * EAR_RATE_HZ)
            _add(out, place, _knock(chance, 0.004, chance.uniform(1500, 6000, 2)))
    return out


def drops(chance: Chance, samples: int) -> Wave:
    """A syringe, a needle or a dish that falls and bounces, and the rattle of a cage."""
    out = 1e-3 * chance.standard_normal(samples)
    for _ in range(max(1, int(chance.poisson(0.8 * samples / EAR_RATE_HZ)))):
        place = float(chance.integers(samples))
        pause = float(chance.uniform(0.08, 0.3))
        tones = chance.uniform(400, 7000, 5)
        for bounce in range(int(chance.integers(2, 9))):
            _add(out, int(place), 0.7**bounce * _knock(chance, 0.05, tones))
            place += pause * 0.75**bounce * EAR_RATE_HZ
    return out


def _knock(chance: Chance, dying_s: float, tones_hz: Wave) -> Wave:
    time = np.arange(int(6 * dying_s * EAR_RATE_HZ)) / EAR_RATE_HZ
    ring = sum(chance.uniform(0.3, 1) * np.sin(2 * np.pi * tone * time) for tone in tones_hz)
    thump = chance.standard_normal(len(time)) * np.exp(-time / 0.002)
    return np.asarray(np.exp(-time / dying_s) * ring + thump, dtype=np.float64)


def _add(out: Wave, place: int, piece: Wave) -> None:
    if 0 <= place < len(out):
        fitting = piece[: len(out) - place]
        out[place : place + len(fitting)] += fitting
