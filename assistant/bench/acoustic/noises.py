"""Noise of weather, machines and people, made by rule.  Every maker: (chance, samples) → wave.

The kinds of the development part and those of the test part are made by different rules, not only
with different seeds.  Levels are free here; mixing sets them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic import animals, knocks, textures
from assistant.bench.acoustic.sound import Wave, rms, slow

Chance = np.random.Generator
Maker = Callable[[Chance, int], Wave]
Talk = Callable[[Chance], Wave]
"""Gives somebody's speech, different each time."""


def coloured(chance: Chance, samples: int, slope: float) -> Wave:
    """Noise whose power falls with frequency to the power of `slope`: 0 white, 1 pink, 2 brown."""
    spectrum = np.fft.rfft(chance.standard_normal(samples))
    frequency = np.fft.rfftfreq(samples, 1 / EAR_RATE_HZ)
    return np.asarray(
        np.fft.irfft(spectrum * np.maximum(frequency, 30.0) ** (-slope / 2), samples),
        dtype=np.float64,
    )


def banded(wave: Wave, low_hz: float, high_hz: float) -> Wave:
    """The wave between two frequencies, cut softly."""
    spectrum = np.fft.rfft(wave)
    frequency = np.fft.rfftfreq(len(wave), 1 / EAR_RATE_HZ)
    rise = 1 / (1 + (low_hz / np.maximum(frequency, 1e-3)) ** 6)
    fall = 1 / (1 + (frequency / high_hz) ** 6)
    return np.asarray(np.fft.irfft(spectrum * rise * fall, len(wave)), dtype=np.float64)


def white(chance: Chance, samples: int) -> Wave:
    """Equal power at every frequency."""
    return coloured(chance, samples, 0)


def pink(chance: Chance, samples: int) -> Wave:
    """Equal power in every octave."""
    return coloured(chance, samples, 1)


def brown(chance: Chance, samples: int) -> Wave:
    """Deep rumble, as of traffic."""
    return coloured(chance, samples, 2)


def fan(chance: Chance, samples: int) -> Wave:
    """A fan or a pump: a hum with its overtones, unsteady, over rushing air."""
    hum_hz = float(chance.uniform(48, 120))
    time = np.arange(samples) / EAR_RATE_HZ
    wobble = 1 + 0.004 * slow(chance, samples, 3)
    turns = 2 * np.pi * hum_hz * np.cumsum(wobble) / EAR_RATE_HZ
    hum = sum(
        np.sin(part * turns + chance.uniform(0, 6.28)) / part**0.8 for part in range(1, 14)
    ) * (1 + 0.2 * np.sin(2 * np.pi * hum_hz / 3 * time))
    air = banded(coloured(chance, samples, 0.7), 150, 5000)
    return np.asarray(0.6 * hum / rms(hum) + air / rms(air), dtype=np.float64)


def gusts(chance: Chance, samples: int) -> Wave:
    """Wind that swells and falls: dark noise under a slowly wandering loudness."""
    loudness = np.exp(1.1 * slow(chance, samples, 0.8))
    return coloured(chance, samples, 1.6) * loudness


def wind(chance: Chance, samples: int) -> Wave:
    """Wind at the microphone: buffeting below 100 Hz in bursts, and a hiss that follows it."""
    force = np.clip(slow(chance, samples, 0.5) + 0.6 * slow(chance, samples, 4), 0, None) ** 2 + 0.1
    buffet = banded(coloured(chance, samples, 2.5), 15, 160)
    hiss = banded(chance.standard_normal(samples), 900, 4500)
    return force * buffet / rms(buffet) + 0.25 * np.sqrt(force) * hiss / rms(hiss)


def music(chance: Chance, samples: int) -> Wave:
    """A tune over chords of three notes, each struck and dying away, with a beat."""
    out = np.zeros(samples)
    step = int(EAR_RATE_HZ * chance.uniform(0.3, 0.5))
    root = float(chance.uniform(110, 196))
    scale = (0, 2, 4, 5, 7, 9, 11, 12)
    for start in range(0, samples, step):
        time = np.arange(min(step * 3, samples - start)) / EAR_RATE_HZ
        notes = [root * 2 ** (scale[int(chance.integers(8))] / 12) for _ in range(3)]
        notes.append(2 * root * 2 ** (scale[int(chance.integers(8))] / 12))
        for note in notes:
            tone = sum(np.sin(2 * np.pi * note * n * time) / n for n in (1, 2, 3, 4))
            out[start : start + len(time)] += np.exp(-3 * time) * tone
        beat = time[: EAR_RATE_HZ // 12]
        out[start : start + len(beat)] += 2 * np.exp(-60 * beat) * chance.standard_normal(len(beat))
    return out


def babble(chance: Chance, samples: int, talk: Talk, voices: int = 6) -> Wave:
    """Several people at once, each at a level of their own."""
    out = np.zeros(samples)
    for _ in range(voices):
        out += stretch_of(chance, samples, talk) * chance.uniform(0.5, 1.0)
    return out


def crowd(chance: Chance, samples: int, talk: Talk) -> Wave:
    """Two people near by and a murmur further off: closer to words than babble is."""
    near = babble(chance, samples, talk, voices=2)
    far = banded(babble(chance, samples, talk, voices=5), 150, 1800)
    return near + 0.4 * far


def radio(chance: Chance, samples: int, talk: Talk) -> Wave:
    """A small radio: somebody talks over music of another kind, in a narrow band, pressed loud."""
    both = stretch_of(chance, samples, talk)
    both = both / max(rms(both), 1e-6) + 0.5 * _arpeggio(chance, samples)
    return banded(np.tanh(1.5 * both), 300, 3800)


def talker(chance: Chance, samples: int, talk: Talk) -> Wave:
    """One other person after the other, in any room, and something that hisses there."""
    said = textures.coloured_by(chance, stretch_of(chance, samples, talk), 15.0)
    hiss = textures.shaped(chance, samples)
    return said / max(rms(said), 1e-6) + chance.uniform(0, 0.3) * hiss / rms(hiss)


def _arpeggio(chance: Chance, samples: int) -> Wave:
    """Plucked notes up and down a minor scale, with vibrato."""
    out = np.zeros(samples)
    step = int(EAR_RATE_HZ * chance.uniform(0.12, 0.22))
    root = float(chance.uniform(160, 330))
    for count, start in enumerate(range(0, samples, step)):
        time = np.arange(min(step * 2, samples - start)) / EAR_RATE_HZ
        note = root * 2 ** ((0, 3, 7, 10, 12, 10, 7, 3)[count % 8] / 12)
        phase = 2 * np.pi * note * time + 0.3 * np.sin(2 * np.pi * 5.5 * time)
        out[start : start + len(time)] += np.exp(-6 * time) * np.sign(np.sin(phase)) * 0.5
    return out


def stretch_of(chance: Chance, samples: int, talk: Talk) -> Wave:
    """Speech without an end, cut at a chance place."""
    pieces: list[Wave] = []
    wanted = samples + EAR_RATE_HZ
    while sum(map(len, pieces)) < wanted:
        piece = talk(chance)
        pieces += [piece / max(rms(piece), 1e-6), np.zeros(int(chance.uniform(0.05, 0.5) * 16_000))]
    start = int(chance.integers(EAR_RATE_HZ))
    return np.concatenate(pieces)[start : start + samples]


MADE: Mapping[str, Maker] = {
    "white": white,
    "pink": pink,
    "brown": brown,
    "fan": fan,
    "gusts": gusts,
    "wind": wind,
    "music": music,
    "chirps": animals.chirps,
    "parrots": animals.parrots,
    "birds": animals.recorded_birds,
    "clicks": knocks.clicks,
    "drops": knocks.drops,
    "shaped": textures.shaped,
    "rain": textures.rain,
    "rattle": textures.rattle,
    "wings": textures.wings,
    "machine": textures.machine,
    "calls": textures.calls,
    "thuds": textures.thuds,
}
"""The kinds that need nobody to talk."""

TALKED: Mapping[str, Callable[[Chance, int, Talk], Wave]] = {
    "babble": babble,
    "crowd": crowd,
    "radio": radio,
    "talker": talker,
}
"""The kinds that are made of other people's talk."""


def noise(kind: str, chance: Chance, samples: int, talk: Talk) -> Wave:
    """So many samples of a kind of noise, at a level of one."""
    wave = TALKED[kind](chance, samples, talk) if kind in TALKED else MADE[kind](chance, samples)
    return wave / max(rms(wave), 1e-9)
