"""How loud a voice and the noise around it are over an enrolment, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from assistant.adapters.ears.signal_meter import measure
from assistant.audio import Clip

_CLIPPED = 0.002
"""The part of the samples on flat tops from which a phrase counts as overloaded."""

TOO_QUIET_DB = -50.0
TOO_NOISY_DB = 15.0
MOST_CLIPPED = 2


@dataclass(frozen=True, slots=True)
class Level:
    """Levels of speech and noise in dB to full scale; `overloaded` counts the phrases."""

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
    """The level over all clips, which must be one at least: half of them are louder."""
    signals = [measure(clip.pcm) for clip in clips]
    return Level(
        median(one.level_dbfs for one in signals),
        median(one.noise_dbfs for one in signals),
        sum(one.clipped > _CLIPPED for one in signals),
    )
