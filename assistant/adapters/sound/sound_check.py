"""The sound check: what is wrong with the microphone, found out while the round goes on."""

from __future__ import annotations

from typing import Final

import numpy as np

from assistant.adapters.ears.reading_level import TOO_NOISY_DB, TOO_QUIET_DB
from assistant.adapters.ears.signal_meter import measure
from assistant.audio import Clip

SILENT: Final = "I hear nothing at all, not even noise. Is the microphone muted or switched off?"
TOO_LOUD: Final = "The microphone is too loud. Turn it down, or hold it further away."
TOO_QUIET: Final = "The microphone is very quiet. Turn it up, or hold it nearer."
NOISY: Final = (
    "It is noisy: your voice is only {snr:.0f} dB above the noise. "
    "Hold the microphone close to your mouth."
)
GOOD: Final = "Sound check: your voice is {snr:.0f} dB above the noise."

_LISTENS_S = 3.0
_FAINTEST = 2
"""In steps of 16 bit: a microphone that is open gives more than that in the quietest room."""

_CLIPPED = 0.002
"""The share of the samples on flat tops from which an utterance counts as overloaded."""


class SoundCheck:
    """Looks at the first seconds, and at the first utterance that was answered; tells once each."""

    def __init__(self) -> None:
        self._listened_s = 0.0
        self._loudest = 0
        self._judged = False

    def listen(self, clip: Clip) -> str:
        """What is wrong with the first seconds of listening, once they are over; else nothing."""
        if self._listened_s >= _LISTENS_S or not clip.samples:
            return ""
        samples = np.frombuffer(clip.pcm, dtype="<i2").astype(int)
        self._loudest = max(self._loudest, int(np.abs(samples).max()))
        self._listened_s += clip.seconds
        over = self._listened_s >= _LISTENS_S
        return SILENT if over and self._loudest <= _FAINTEST else ""

    def judge(self, utterance: Clip) -> tuple[str, bool]:
        """What an utterance showed, and whether it is worth saying; once, then nothing."""
        if self._judged:
            return "", False
        self._judged = True
        signal = measure(utterance.pcm)
        if signal.clipped > _CLIPPED:
            return TOO_LOUD, True
        if signal.level_dbfs < TOO_QUIET_DB:
            return TOO_QUIET, True
        if signal.snr_db < TOO_NOISY_DB:
            return NOISY.format(snr=signal.snr_db), True
        return GOOD.format(snr=signal.snr_db), False
