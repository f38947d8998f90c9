"""The ear that checks what is spoken hears the volume that is in the sound, not the one written."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import numpy as np
import pytest
import soxr

from assistant.adapters.talk.voice import EspeakVoice
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.bench.live.volumes import VolumeEar, written_volumes
from assistant.conversation.speech import speakable

REPLY = "Zebra finch, 14 grams, one four. 0.07 mL. Needle full: draw to 0.07 mL only."


@pytest.fixture(scope="module")
def voice() -> Iterator[EspeakVoice]:
    speaking = EspeakVoice(220, "en-us")
    yield speaking
    speaking.close()


@pytest.fixture(scope="module")
def ear() -> VolumeEar:
    return VolumeEar()


def spoken(voice: EspeakVoice, reply: str) -> Clip:
    clip = voice.render(speakable(reply))
    samples = soxr.resample(np.frombuffer(clip.pcm, "<i2"), clip.rate_hz, EAR_RATE_HZ)
    return Clip(samples.astype("<i2").tobytes())


@pytest.mark.parametrize("volume", ["0.07", "0.47", "1.6", "0.3", "9.99", "2", "0.01", "5.5"])
def test_whatever_is_spoken_is_heard(voice: EspeakVoice, ear: VolumeEar, volume: str):
    said = REPLY.replace("0.07", volume)
    assert ear.hear(spoken(voice, said), REPLY) == (Decimal(volume),) * 2


def test_one_wrong_place_among_others_is_heard(voice: EspeakVoice, ear: VolumeEar):
    said = REPLY.replace("draw to 0.07", "draw to 0.7")
    assert ear.hear(spoken(voice, said), REPLY) == (Decimal("0.07"), Decimal("0.7"))


def test_the_written_volumes_are_those_of_the_reply():
    assert written_volumes(REPLY) == (Decimal("0.07"), Decimal("0.07"))
    assert written_volumes("Given.") == ()
