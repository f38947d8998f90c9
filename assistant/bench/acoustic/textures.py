"""Sounds of an aviary that only fitting uses: neither part of the bench is measured with them."""

from __future__ import annotations

import numpy as np

from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.sound import Wave, rms, slow

Chance = np.random.Generator

_DROPS_A_SECOND = (40.0, 400.0)
_BARS = 5
_OVERTONES = 16


def coloured_by(chance: Chance, wave: Wave, peak_db: float, peaks: int = 3) -> Wave:
    """The wave through a filter with so many wide peaks or dips, up to so many decibels each."""
    spectrum = np.fft.rfft(wave)
    octaves = np.log2(np.maximum(np.fft.rfftfreq(len(wave), 1 / EAR_RATE_HZ), 30.0))
    gain_db = np.zeros(len(octaves))
    for _ in range(peaks):
        middle, width = np.log2(chance.uniform(120, 7000)), chance.uniform(0.3, 1.5)
        gain_db += chance.uniform(-peak_db, peak_db) * np.exp(-(((octaves - middle) / width) ** 2))
    return np.asarray(np.fft.irfft(spectrum * 10 ** (gain_db / 20), len(wave)), dtype=np.float64)


def shaped(chance: Chance, samples: int) -> Wave:
    """Steady noise with broad peaks and dips, another shape each time."""
    return coloured_by(chance, chance.standard_normal(samples), 24.0, peaks=4)


def rain(chance: Chance, samples: int) -> Wave:
    """Drops on a roof of tin: many short ticks, each of its own loudness."""
    ticks = np.zeros(samples)
    count = max(1, int(chance.uniform(*_DROPS_A_SECOND) * samples / EAR_RATE_HZ))
    ticks[chance.integers(samples, size=count)] = chance.exponential(size=count)
    time = np.arange(EAR_RATE_HZ // 50) / EAR_RATE_HZ
    drop = np.exp(-time * chance.uniform(200, 900)) * chance.standard_normal(len(time))
    return np.convolve(ticks, drop)[:samples]


def rattle(chance: Chance, samples: int) -> Wave:
    """Wire and bars that ring when a bird climbs on them."""
    out = np.zeros(samples)
    for _ in range(max(1, int(chance.uniform(1, 9) * samples / EAR_RATE_HZ))):
        start = int(chance.integers(samples))
        time = np.arange(min(EAR_RATE_HZ // 3, samples - start)) / EAR_RATE_HZ
        ring = sum(np.sin(2 * np.pi * chance.uniform(500, 6500) * time) for _ in range(_BARS))
        dying = np.exp(-time * chance.uniform(12, 80))
        out[start : start + len(time)] += chance.exponential() * dying * ring
    return out


def wings(chance: Chance, samples: int) -> Wave:
    """A bird that flaps: rushes of air, ten to twenty a second."""
    beat = np.cumsum(chance.uniform(10, 20) + chance.standard_normal(samples)) / EAR_RATE_HZ
    air = coloured_by(chance, chance.standard_normal(samples), 15.0)
    return np.maximum(np.sin(2 * np.pi * beat), 0.0) ** 2 * air


def machine(chance: Chance, samples: int) -> Wave:
    """Something that turns: unsteady overtones of any loudness, and the air that it moves."""
    pitch_hz = 2 ** chance.uniform(5, 10) * (1 + 0.01 * slow(chance, samples, 2.0))
    hum = _overtones(chance, pitch_hz, int(chance.integers(2, _OVERTONES)))
    air = shaped(chance, samples)
    return hum / rms(hum) + chance.uniform(0.2, 2.0) * air / rms(air)


def calls(chance: Chance, samples: int) -> Wave:
    """Animals of any size: cries whose pitch glides, from a whistle to a rasp."""
    out = 1e-3 * chance.standard_normal(samples)
    for _ in range(max(1, int(chance.uniform(0.5, 5) * samples / EAR_RATE_HZ))):
        length = int(2 ** chance.uniform(-4, 0.5) * EAR_RATE_HZ)
        glide = 2 ** (0.4 * slow(chance, length, chance.uniform(1, 12)))
        cry = _overtones(chance, 2 ** chance.uniform(8, 12) * glide, int(chance.integers(1, 9)))
        rasp = 1 + chance.uniform(0, 2) * chance.standard_normal(length)
        _lay(out, chance, np.hanning(length) ** 0.4 * cry * rasp * chance.uniform(0.1, 1))
    return out


def thuds(chance: Chance, samples: int) -> Wave:
    """Doors, buckets and boots: dull blows that die away, each with a crack at its beginning."""
    out = 1e-3 * chance.standard_normal(samples)
    for _ in range(max(1, int(chance.uniform(0.4, 3) * samples / EAR_RATE_HZ))):
        time = np.arange(EAR_RATE_HZ // 2) / EAR_RATE_HZ
        dull = np.sin(2 * np.pi * chance.uniform(50, 400) * time) * np.exp(
            -time * chance.uniform(8, 60)
        )
        crack = shaped(chance, len(time)) * np.exp(-time * chance.uniform(30, 600))
        _lay(out, chance, chance.exponential() * (dull + chance.uniform(0, 1) * crack / rms(crack)))
    return out


def _overtones(chance: Chance, pitch_hz: Wave, count: int) -> Wave:
    """A tone of this pitch with overtones of chance loudness, as far as the sound can hold them."""
    turns = 2 * np.pi * np.cumsum(pitch_hz) / EAR_RATE_HZ
    highest = min(count, max(1, int(EAR_RATE_HZ / 2 / float(np.max(pitch_hz)))))
    return np.asarray(
        sum(chance.uniform(0.1, 1) * np.sin(part * turns) for part in range(1, highest + 1))
    )


def _lay(out: Wave, chance: Chance, piece: Wave) -> None:
    """Add the piece at a chance place, as far as it goes."""
    start = int(chance.integers(len(out)))
    out[start : start + len(piece)] += piece[: len(out) - start]
