"""Other throats for one utterance: the same words as another body, or another engine, says them.

A voice is moved as a whole, or taken apart by the vocoder WORLD (Morise, Yokomori and Ozawa 2016,
IEICE Transactions E99-D, from memory) and put together with its pitch, the liveliness of its pitch
and its formants each drawn by itself.  It then sounds as many engines do that end in a vocoder.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pyworld

from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.sound import Wave, resampled
from assistant.bench.phones_fit.recipe import Recipe, draw_warp

_LEAST_HZ, _MOST_HZ = 60.0, 420.0
"""Where the pitch of people lies."""


@dataclass(frozen=True)
class Throats:
    """Takes of what was `spoken`, each from another throat."""

    spoken: Wave
    recipe: Recipe
    chance: np.random.Generator

    def draw(self) -> tuple[Wave, float]:
        """A take, and how far it was moved as a whole: 1 where it was put together anew."""
        change = self.recipe.changes["throat"]
        if self.chance.uniform() < change.share and self._apart.is_voiced:
            drawn = {name: self.chance.uniform(*span) for name, span in change.spans.items()}
            return self._apart.together(**drawn), 1.0
        warp = draw_warp(self.recipe, self.chance)
        return resampled(self.spoken, EAR_RATE_HZ * warp), warp

    @cached_property
    def _apart(self) -> _Apart:
        wave = np.ascontiguousarray(self.spoken, dtype=np.float64)
        rough_hz, times = pyworld.dio(wave, EAR_RATE_HZ)
        pitch_hz = pyworld.stonemask(wave, rough_hz, times, EAR_RATE_HZ)
        envelope = pyworld.cheaptrick(wave, pitch_hz, times, EAR_RATE_HZ)
        return _Apart(pitch_hz, envelope, pyworld.d4c(wave, pitch_hz, times, EAR_RATE_HZ))


@dataclass(frozen=True, slots=True)
class _Apart:
    """A voice in frames of 5 ms: its pitch (0 unvoiced), its spectrum, and how breathy it is."""

    pitch_hz: Wave
    envelope: Wave
    breath: Wave

    @property
    def is_voiced(self) -> bool:
        return bool((self.pitch_hz > 0).any())

    def together(self, pitch: float, liveliness: float, formants: float) -> Wave:
        """The voice with its pitch and formants times so much; monotonous at a liveliness of 0."""
        voiced = self.pitch_hz > 0
        octaves = np.log2(np.maximum(self.pitch_hz, 1.0))
        middle = octaves[voiced].mean()
        moved_hz = 2 ** (middle + liveliness * (octaves - middle)) * pitch
        pitch_hz = np.where(voiced, np.clip(moved_hz, _LEAST_HZ, _MOST_HZ), 0.0)
        envelope, breath = (_stretched(one, formants) for one in (self.envelope, self.breath))
        return np.asarray(pyworld.synthesize(pitch_hz, envelope, breath, EAR_RATE_HZ))


def _stretched(frames: Wave, by: float) -> Wave:
    """Each frame, with what stood at a frequency at so many times it."""
    last = frames.shape[1] - 1
    places = np.minimum(np.arange(last + 1) / by, last)
    below = places.astype(int)
    above, share = np.minimum(below + 1, last), places - below
    return np.ascontiguousarray(frames[:, below] * (1 - share) + frames[:, above] * share)
