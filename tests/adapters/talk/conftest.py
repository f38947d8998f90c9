"""The voice of both sides of a talk without devices."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
import soxr

from assistant.adapters.talk.voice import EspeakVoice
from assistant.audio import EAR_RATE_HZ


@pytest.fixture(scope="module")
def voice() -> Iterator[EspeakVoice]:
    speaking = EspeakVoice(165, None)
    yield speaking
    speaking.close()


@pytest.fixture(scope="module")
def sentence(voice: EspeakVoice) -> bytes:
    clip = voice.render("cockatiel ninety five grams")
    samples = np.frombuffer(clip.pcm, dtype="<i2")
    return bytes(soxr.resample(samples, clip.rate_hz, EAR_RATE_HZ).tobytes())
