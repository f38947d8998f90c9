"""Sound as numbers for the bench: floating point at the ears' rate, one channel, full scale 1."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import soxr

from assistant.audio import EAR_RATE_HZ, Clip

Wave = npt.NDArray[np.float64]

FULL_SCALE = 32768.0


def resampled(wave: Wave, rate_hz: float, to_hz: float = EAR_RATE_HZ) -> Wave:
    """The wave at another rate."""
    if rate_hz == to_hz:
        return wave
    return np.asarray(soxr.resample(wave, rate_hz, to_hz, quality="HQ"), dtype=np.float64)


def from_pcm(pcm: bytes) -> Wave:
    """Signed 16-bit samples as a wave."""
    return np.frombuffer(pcm, dtype="<i2").astype(np.float64) / FULL_SCALE


def to_clip(wave: Wave) -> Clip:
    """A wave as a clip for an ear; what is beyond full scale is clipped, as a sound card does."""
    whole = np.clip(np.rint(wave * FULL_SCALE), -FULL_SCALE, FULL_SCALE - 1)
    return Clip(whole.astype("<i2").tobytes(), EAR_RATE_HZ)


def seconds_of(wave: Wave) -> float:
    """How long a wave at the ears' rate lasts."""
    return len(wave) / EAR_RATE_HZ


def rms(wave: Wave) -> float:
    """The root mean square; of nothing it is zero."""
    return float(np.sqrt(np.mean(np.square(wave)))) if len(wave) else 0.0


def speech_level(wave: Wave) -> float:
    """The level of speech while somebody speaks: the root mean square of its louder frames.

    Frames of 20 ms within 30 dB of the loudest count, after the idea of the active speech level
    of ITU-T P.56, without its exact filter.
    """
    frame = EAR_RATE_HZ // 50
    count = len(wave) // frame
    if not count:
        return rms(wave)
    power = np.mean(np.square(wave[: count * frame].reshape(count, frame)), axis=1)
    return float(np.sqrt(np.mean(power[power >= power.max() * 1e-3])))


def decibels(value: float) -> float:
    """The factor of amplitude that so many decibels are."""
    return float(10 ** (value / 20))


def trimmed(wave: Wave) -> Wave:
    """The wave without the silence before and after it, 50 ms left at each end."""
    loud = np.flatnonzero(np.abs(wave) > max(float(np.max(np.abs(wave), initial=0.0)) * 0.01, 1e-4))
    if not len(loud):
        return wave
    edge = EAR_RATE_HZ // 20
    return wave[max(0, loud[0] - edge) : loud[-1] + edge]


def slow(chance: np.random.Generator, samples: int, per_second: float) -> Wave:
    """A line that wanders between about -1 and 1, turning so many times a second."""
    knots = max(4, int(samples / EAR_RATE_HZ * per_second) + 3)
    heights = chance.standard_normal(knots)
    places = np.linspace(0, samples - 1, knots)
    return np.asarray(np.interp(np.arange(samples), places, heights), dtype=np.float64)
