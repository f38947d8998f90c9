"""The tones: short, soft, and made here.

They lie between 330 and 800 Hz, swell and fade, and stay 20 dB under full scale: birds startle at
what is sudden, loud or high (common practice, no source).  Each has its own shape, so that nobody
needs an ear for pitch.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from assistant.audio import Clip
from assistant.conversation.turn import Cue

RATE_HZ: Final = 22_050
_PEAK: Final = 0.1 * 32767
_FADE_S: Final = 0.03

_REST = (0.0, 0.0, 0.07)
_NOTES: Mapping[Cue, Sequence[tuple[float, float, float]]] = {
    Cue.LISTENING: [(520, 780, 0.14)],
    Cue.THINKING: [(440, 440, 0.07), _REST, (440, 440, 0.07)],
    Cue.LOGGED: [(520, 520, 0.1), _REST, (780, 780, 0.14)],
    Cue.NOT_UNDERSTOOD: [(600, 360, 0.28)],
    Cue.PAUSED: [(330, 330, 0.45)],
}
"""Notes in turn: from how many hertz, to how many, for how many seconds."""


@cache
def tone(cue: Cue) -> Clip:
    """The tone of a cue; always the same."""
    notes = np.concatenate([_note(*note) for note in _NOTES[cue]])
    return Clip(np.round(notes * _PEAK).astype("<i2").tobytes(), RATE_HZ)


def _note(first_hz: float, last_hz: float, seconds: float) -> NDArray[np.float64]:
    hertz = np.linspace(first_hz, last_hz, round(seconds * RATE_HZ))
    fade = np.minimum(1.0, np.arange(hertz.size) / (_FADE_S * RATE_HZ))
    swell = np.sin(np.pi / 2 * np.minimum(fade, fade[::-1])) ** 2
    return np.asarray(np.sin(2 * np.pi * np.cumsum(hertz) / RATE_HZ) * swell, dtype=np.float64)


def at_loudness(clip: Clip, decibels: float) -> Clip:
    """The clip louder or softer by so much; what would be too loud is bent, never broken off."""
    if not decibels or not clip.samples:
        return clip
    sound = np.frombuffer(clip.pcm, dtype="<i2").astype(np.float64) / 32768
    louder = sound * 10 ** (decibels / 20)
    bent = np.where(np.abs(louder) < _BENDS, louder, np.sign(louder) * _bent(np.abs(louder)))
    return Clip(np.round(bent * _TOP).astype("<i2").tobytes(), clip.rate_hz)


_BENDS = 0.6
_TOP = 0.99 * 32767


def _bent(levels: NDArray[np.float64]) -> NDArray[np.float64]:
    """Levels above the bend, on a curve that never reaches full scale."""
    room = 1 - _BENDS
    return np.asarray(_BENDS + room * np.tanh((levels - _BENDS) / room), dtype=np.float64)
