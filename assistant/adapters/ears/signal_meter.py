"""Level, noise and overload of one utterance, from how the energy of short frames is spread.

The noise is what the quietest frames hold, the speech what the louder ones hold beyond it: the
percentile method of ISIP's signal_to_noise (Picone; noise at 15 %, isip.piconepress.com) and
of NIST's stnr (frames of 20 ms, stnr.txt of its SPHERE package).  Unlike theirs, the level of
speech is not its peak but that of all frames within 30 dB of it, after the idea of the active
speech level of ITU-T P.56.  It is meant for steady noise: of calls and clicks, the quiet between
them is what counts, and other talk is speech.  An overload is seen where it was at this rate:
resampling rounds the tops.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ
from assistant.hearing.signal import (
    BEST_SNR_DB,
    NO_SIGNAL,
    QUIETEST_DBFS,
    WORST_SNR_DB,
    Signal,
)

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_FRAME = EAR_RATE_HZ // 50
_SHORT_FRAME = EAR_RATE_HZ // 100
_LOUD_SHARE = 0.9
_ONE_STEP = 1 / 32768**2
"""The power of one step of 16 bit: silence has a level too."""

_LOWEST_HZ = 100.0
"""Below it no voice says anything, but rumble, hum and a shifted zero can be loud."""

_NOISE_SHARE = 0.15
_PEAK_SHARE = 0.95
_ACTIVE = 1e-3
"""What counts as speech lies within 30 dB of the loud frames, and"""

_ABOVE_NOISE = 1.6
"""above the noise by more than the noise itself varies from frame to frame."""

_FLAT = 0.004
"""How thick a flat top is, as part of the loudest sample."""

_FLAT_RUN = 3
_LEAST_CROWD = 16
_LEAST_TOP = 0.02
"""Of a fainter sound the steps of 16 bit are themselves too thick to tell."""

_RAIL = 1 - 1.5 / 32768
_CROWDED = 4.0
"""How many times more samples lie on a flat top than just under it: 2.4 on a sine's round top."""


def measure(pcm: bytes) -> Signal:
    """The signal of an utterance: 16 kHz, 16 bit, one channel; any bytes give finite numbers."""
    samples = _samples(pcm)
    if samples.size < _FRAME:
        return NO_SIGNAL
    noise, speech = map(_dbfs, _powers(_frame_powers(_voice_band(samples), _FRAME)))
    level = max(speech, noise + WORST_SNR_DB, QUIETEST_DBFS)
    return Signal(
        level_dbfs=level,
        noise_dbfs=noise,
        snr_db=min(level - noise, BEST_SNR_DB) if level > QUIETEST_DBFS else WORST_SNR_DB,
        clipped=_clipped(samples),
        seconds=samples.size / EAR_RATE_HZ,
    )


def clipped(pcm: bytes) -> float:
    """The share of samples on flat tops alone; of no sound at all none."""
    samples = _samples(pcm)
    return _clipped(samples) if samples.size else 0.0


def faded_db(pcm: bytes) -> tuple[float, float]:
    """How far the first and the last 20 ms lie below the loud frames of 10 ms, in decibels.

    Takes at least 20 ms of sound.
    """
    power = 10 * np.log10(_frame_powers(_samples(pcm), _SHORT_FRAME) + _ONE_STEP)
    loud = np.quantile(power, _LOUD_SHARE)
    return float(loud - power[:2].max()), float(loud - power[-2:].max())


def _samples(pcm: bytes) -> Floats:
    whole = len(pcm) // BYTES_PER_SAMPLE
    return np.frombuffer(pcm, dtype="<i2", count=whole).astype(np.float64) / 32768


def _voice_band(samples: Floats) -> Floats:
    """The sound without what lies below every voice."""
    spectrum = np.fft.rfft(samples)
    spectrum[np.fft.rfftfreq(samples.size, 1 / EAR_RATE_HZ) < _LOWEST_HZ] = 0
    return np.asarray(np.fft.irfft(spectrum, samples.size), dtype=np.float64)


def _frame_powers(samples: Floats, size: int) -> Floats:
    frames = samples[: samples.size // size * size].reshape(-1, size)
    return np.asarray(np.mean(np.square(frames), axis=1), dtype=np.float64)


def _powers(frames: Floats) -> tuple[float, float]:
    """The mean power of the noise, and that of the speech in the frames where there is some."""
    noise = float(np.quantile(frames, _NOISE_SHARE))
    loud = float(np.quantile(frames, _PEAK_SHARE))
    active = frames[(frames > _ABOVE_NOISE * noise) & (frames > _ACTIVE * loud)]
    speech = max(float(np.mean(active)) - noise, 0.0) if active.size else 0.0
    return noise, speech


def _clipped(samples: Floats) -> float:
    """The share of samples on flat tops, at the rail or below it, whatever zero is shifted to."""
    centred = samples - samples.mean()
    flat = _at_rail(samples) | _on_flat_top(centred) | _on_flat_top(-centred)
    return float(np.mean(_in_runs(flat)))


def _at_rail(samples: Floats) -> Bools:
    return np.asarray(np.abs(samples) >= _RAIL, dtype=np.bool_)


def _on_flat_top(samples: Floats) -> Bools:
    """Which samples lie along the highest value, where it is too crowded there to be round."""
    top = float(samples.max())
    near = samples >= top * (1 - _FLAT)
    under = samples >= top * (1 - 2 * _FLAT)
    along, below = int(np.count_nonzero(near)), int(np.count_nonzero(under & ~near))
    is_flat = top >= _LEAST_TOP and along >= max(_CROWDED * below, _LEAST_CROWD)
    return near if is_flat else np.zeros_like(near)


def _in_runs(flat: Bools) -> Bools:
    """Those that have as many neighbours as a flat top has."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], flat.view(np.int8), [0]))))
    kept = np.zeros_like(flat)
    for begin, end in edges.reshape(-1, 2):
        kept[begin:end] = end - begin >= _FLAT_RUN
    return kept


def _dbfs(power: float) -> float:
    return max(10 * math.log10(max(power, 1e-12)), QUIETEST_DBFS)
