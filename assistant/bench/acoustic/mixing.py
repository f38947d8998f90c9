"""A trial as it reaches the ear: speech, room, noise, level, faults; the same on every run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.noises import Talk, noise
from assistant.bench.acoustic.records import AS_RECORDED, Kind, Trial
from assistant.bench.acoustic.sound import Wave, decibels, resampled, speech_level

SPEECH_LEVEL = decibels(-26)
"""The usual level of speech below full scale: -26 dB, as ITU-T P.56 levels are often set."""

HISS = decibels(-72)
"""A microphone is never quite silent; digital silence would be a condition of its own."""

LEAD_S = (0.35, 0.7)
"""How long the utterance goes on before and after the speech, in seconds."""

NOISE_LEVELS_DB = (-46.0, -20.0)
"""How loud noise alone is, below full scale."""


@dataclass(frozen=True, slots=True)
class Room:
    """How long sound lingers (to -60 dB, in seconds), and how loud it is beside the direct one."""

    lingers_s: float
    loudness: float


ROOMS: Mapping[str, Room] = {
    "shed": Room(0.25, 0.5),
    "barn": Room(0.6, 0.6),
    "kitchen": Room(0.4, 0.4),
}


@dataclass(frozen=True, slots=True)
class Mixed:
    """What an ear is given, and the sample at which the speech in it ends."""

    wave: Wave
    speech_end: int


def mix(trial: Trial, speech: Wave, talk: Talk) -> Mixed:
    """The trial's audio; `speech` is clean, and empty for noise alone."""
    if trial.condition.fault == AS_RECORDED:
        return Mixed(speech, len(speech))
    chance = generator(trial.name)
    if trial.phrase.text == "":
        return _noise_alone(trial, chance, talk)
    before, after = (int(chance.uniform(*LEAD_S) * EAR_RATE_HZ) for _ in range(2))
    if trial.condition.room:
        speech = in_room(speech, ROOMS[trial.condition.room], chance)
    speech = speech / max(speech_level(speech), 1e-6) * SPEECH_LEVEL
    if trial.phrase.kind is Kind.CUT_OFF:
        speech, before, after = _cut(speech, trial.phrase.style, before, after)
    wave = np.concatenate([np.zeros(before), speech, np.zeros(after)])
    if trial.condition.noise and trial.condition.snr_db is not None:
        level = SPEECH_LEVEL / decibels(trial.condition.snr_db)
        wave += level * noise(trial.condition.noise, chance, len(wave), talk)
    wave += HISS * chance.standard_normal(len(wave))
    wave = _fault(wave, trial.condition.fault, chance)
    return Mixed(wave, before + len(speech))


def _cut(speech: Wave, cut: str, before: int, after: int) -> tuple[Wave, int, int]:
    """Speech of which the head or the tail is missing, with no silence where it was cut.

    `cut` says which end is gone, and the part of the speech at which it was cut.
    """
    end, _, place = cut.partition(" ")
    at = int(float(place) * len(speech))
    return (speech[:at], before, 0) if end == "tail" else (speech[len(speech) - at :], 0, after)


def _noise_alone(trial: Trial, chance: np.random.Generator, talk: Talk) -> Mixed:
    samples = int(trial.seconds * EAR_RATE_HZ)
    level = decibels(float(chance.uniform(*NOISE_LEVELS_DB)))
    wave = level * noise(trial.condition.noise or "white", chance, samples, talk)
    wave += HISS * chance.standard_normal(samples)
    return Mixed(wave, samples)


def in_room(speech: Wave, room: Room, chance: np.random.Generator) -> Wave:
    """The speech with the echoes of a room: some early ones, then a tail that dies away."""
    time = np.arange(int(room.lingers_s * EAR_RATE_HZ)) / EAR_RATE_HZ
    tail = chance.standard_normal(len(time)) * 10 ** (-3 * time / room.lingers_s)
    tail[: EAR_RATE_HZ // 100] = 0.0
    for _ in range(6):
        tail[int(chance.uniform(0.003, 0.03) * EAR_RATE_HZ)] += chance.uniform(-3, 3)
    response = np.zeros(len(time))
    response[0] = 1.0
    response += room.loudness * tail / np.sqrt(np.sum(np.square(tail)))
    length = len(speech) + len(response) - 1
    whole = np.fft.irfft(np.fft.rfft(speech, length) * np.fft.rfft(response, length), length)
    return np.asarray(whole, dtype=np.float64)


def _fault(wave: Wave, fault: str | None, chance: np.random.Generator) -> Wave:
    """A fault as parts.toml names it: its kind and how bad it is."""
    if fault is None:
        return wave
    kind, _, size = fault.partition(" ")
    amount = float(size)
    match kind:
        case "overload":
            return np.clip(wave * decibels(amount), -1.0, 1.0) * 0.9
        case "quiet":
            return wave / decibels(amount)
        case "narrow":
            return resampled(resampled(wave, EAR_RATE_HZ, amount), amount)[: len(wave)]
        case _:
            return _with_dropouts(wave, amount, chance)


def _with_dropouts(wave: Wave, per_second: float, chance: np.random.Generator) -> Wave:
    """Blocks of 10 ms lost and closed over, as when a device overruns."""
    block = EAR_RATE_HZ // 100
    kept = chance.uniform(size=len(wave) // block + 1) > per_second * block / EAR_RATE_HZ
    return wave[np.repeat(kept, block)[: len(wave)]]
