"""Whether what the microphone heard is our own voice: we know exactly what we played, and when.

The course of the loudness in a few bands is compared, in steps of 20 ms, at the places of the
played sound where the heard may lie.  A room or a lower volume hardly changes that course.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.sound.resampling import samples_at
from assistant.audio import EAR_RATE_HZ, Clip

ALIKE: Final = 0.55
"""From this likeness on a sound is taken for our own: see tests/adapters/sound/test_own_echo.py."""

_STEPS_PER_S = 50
_EDGES_HZ = (150, 400, 800, 1500, 2500, 4000, 7000)
_FLOOR = 1e3
"""What silence is taken for, as the power of a frame's band, so that its changes count for less."""

_SLACK_S = 0.6
"""How far off the place may be: what the devices hold, and a little more."""

Course = NDArray[np.float64]


def echo_likeness(heard: Clip, played: Clip, began_s: float) -> float:
    """The best correlation, from −1 to 1, of the courses of both.

    `began_s` is when the heard began, in seconds of the played.  0 where too little was heard.
    """
    theirs = _course(heard)
    if len(theirs) < _STEPS_PER_S // 4:
        return 0.0
    slack = round(_SLACK_S * _STEPS_PER_S)
    first = round(began_s * _STEPS_PER_S) - slack
    ours = _around(_course(played), first, len(theirs) + 2 * slack)
    places = (ours[at : at + len(theirs)] for at in range(2 * slack + 1))
    return max(_correlation(theirs, one) for one in places)


def _around(course: Course, first: int, count: int) -> Course:
    """So many steps of a course from one on, with silence where it has none."""
    padded = np.full((count, course.shape[1]), np.log10(_FLOOR))
    begin, end = max(first, 0), min(first + count, len(course))
    if begin < end:
        padded[begin - first : end - first] = course[begin:end]
    return padded


def _correlation(one: Course, other: Course) -> float:
    centred = one - one.mean(axis=0), other - other.mean(axis=0)
    norm = float(np.linalg.norm(centred[0]) * np.linalg.norm(centred[1]))
    return float(np.sum(centred[0] * centred[1])) / norm if norm > 0 else 0.0


def _course(clip: Clip) -> Course:
    """The logarithm of the power in each band, for each 20 ms."""
    samples = samples_at(clip, EAR_RATE_HZ).astype(np.float64)
    size = EAR_RATE_HZ // _STEPS_PER_S
    frames = samples[: samples.size // size * size].reshape(-1, size) * np.hanning(size)
    power = np.abs(np.fft.rfft(frames, axis=1)) ** 2 / size
    hertz = np.fft.rfftfreq(size, 1 / EAR_RATE_HZ)
    edges = pairwise(_EDGES_HZ)
    bands = [power[:, (hertz >= low) & (hertz < high)].sum(axis=1) for low, high in edges]
    return np.log10(np.stack(bands, axis=1) + _FLOOR)
