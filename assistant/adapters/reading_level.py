"""How loud a voice and the noise around it are over an enrolment, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assistant.audio import EAR_RATE_HZ, Clip

_FRAME_S = 0.02
_FULL = 32768.0
_AT_THE_STOP = 32_700
_CLIPPED = 0.002
"""The part of the samples at the stop from which a phrase counts as overloaded."""

TOO_QUIET_DB = -50.0
TOO_NOISY_DB = 15.0
MOST_CLIPPED = 2


@dataclass(frozen=True, slots=True)
class Level:
    """Levels in dB below full scale, over all phrases; `overloaded` counts the phrases.

    Speech is the level that a tenth of the frames of 20 ms exceed, noise the one that nine tenths
    exceed.
    """

    speech_db: float
    noise_db: float
    overloaded: int

    @property
    def advice(self) -> tuple[str, ...]:
        """What to do about the microphone, in a keeper's words; nothing where all is well."""
        said = []
        if self.overloaded > MOST_CLIPPED:
            said.append(
                f"The microphone is too loud: {self.overloaded} phrases were overloaded. Turn it "
                "down, or hold it further away."
            )
        if self.speech_db < TOO_QUIET_DB:
            said.append("The microphone is very quiet. Turn it up, or hold it nearer.")
        if self.speech_db - self.noise_db < TOO_NOISY_DB:
            said.append(
                f"It is noisy: your voice is only {self.speech_db - self.noise_db:.0f} dB above "
                "the noise. A microphone near the mouth helps most."
            )
        return tuple(said)


def measure_level(clips: Sequence[Clip]) -> Level:
    """The level over all clips, which must hold a frame at least."""
    loudness = np.concatenate([_frames(clip) for clip in clips])
    decibels = 20 * np.log10(np.maximum(loudness, 1 / _FULL))
    overloaded = sum(_is_overloaded(clip) for clip in clips)
    return Level(float(np.percentile(decibels, 90)), float(np.percentile(decibels, 10)), overloaded)


def _frames(clip: Clip) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """The root mean square of each frame, from 0 to 1."""
    samples = np.frombuffer(clip.pcm[: clip.samples * 2], dtype="<i2").astype(np.float64) / _FULL
    size = int(_FRAME_S * EAR_RATE_HZ)
    whole = samples[: samples.size // size * size].reshape(-1, size)
    rms: np.ndarray[tuple[int, ...], np.dtype[np.float64]] = np.sqrt(np.square(whole).mean(axis=1))
    return rms


def _is_overloaded(clip: Clip) -> bool:
    samples = np.frombuffer(clip.pcm[: clip.samples * 2], dtype="<i2").astype(np.int32)
    return bool(np.mean(np.abs(samples) >= _AT_THE_STOP) > _CLIPPED)
