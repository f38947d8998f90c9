"""Sound as the neural model takes it, for both ears that are built on its encoder."""

from __future__ import annotations

import numpy as np

from assistant.adapters.ears.moonshine_model import Floats
from assistant.audio import EAR_RATE_HZ

LONGEST_S = 12.0
"""Of a longer utterance nothing is heard: half a sentence can mean another dose."""

SHORTEST_S = 0.2

QUIETEST_PEAK = 1e-3
"""Below this peak, of 1, nothing was said: digital silence, or a microphone that is not there."""

PADDING_S = 0.3
"""How much quiet is put before and after the sound."""

_PEAK = 0.3
_DITHER = 1e-4
_SEED = 95


def levelled(pcm: bytes) -> Floats | None:
    """The samples from -1 to 1 at a settled level, with a little quiet around; None for silence."""
    samples = np.frombuffer(pcm, dtype="<i2").astype(np.float32) / 32768
    peak = float(np.abs(samples).max(initial=0.0))
    if peak < QUIETEST_PEAK:
        return None
    quiet = np.zeros(round(PADDING_S * EAR_RATE_HZ), np.float32)
    padded: Floats = np.concatenate((quiet, samples * np.float32(_PEAK / peak), quiet))
    return padded + faint_noise(padded.size / EAR_RATE_HZ, _DITHER)


def moved(samples: Floats, by: float) -> Floats:
    """The sound with pitch, formants and tempo times `by`, as a tape that runs faster or slower."""
    places = np.arange(int(samples.size / by)) * by
    found: Floats = np.interp(places, np.arange(samples.size), samples).astype(np.float32)
    return found


def faint_noise(seconds: float, level: float) -> Floats:
    """Faint noise, the same each time; the model is unsteady on digital silence."""
    chance = np.random.default_rng(_SEED)
    return chance.normal(0.0, level, round(seconds * EAR_RATE_HZ)).astype(np.float32)
