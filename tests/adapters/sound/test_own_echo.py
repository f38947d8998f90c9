"""Our own voice is told from the keeper's by how it runs, whatever the room does to it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.sound.own_echo import ALIKE, echo_likeness
from assistant.adapters.sound.resampling import samples_at
from assistant.adapters.talk.voice import EspeakVoice
from assistant.audio import EAR_RATE_HZ, Clip

ANSWER = (
    "Cockatiel, ninety five grams. zero point four seven millilitres of Marigold Demo, one in ten. "
    "The dose for budgie, thirty one grams is still open. Was it given? Say given or not given."
)
KEEPERS = (("en-us+f3", 150), ("en-gb+m3", 170), ("en-us+m7", 140))
PHRASES = ("stop", "given", "next bird", "yes", "budgie thirty one grams", "scratch that")


@pytest.fixture(scope="module")
def answer() -> Iterator[Clip]:
    voice = EspeakVoice(165, None)
    yield voice.render(ANSWER)
    voice.close()


def _in_a_room(clip: Clip, gain: float) -> NDArray[np.float64]:
    """With a decay of 60 ms, as loud as the gain makes it, over a faint noise."""
    chance = np.random.default_rng(1)
    tail = chance.standard_normal(4000) * np.exp(-np.arange(4000) / (0.06 * EAR_RATE_HZ)) * 0.15
    dry = samples_at(clip, EAR_RATE_HZ).astype(float)
    wet = np.convolve(dry, np.concatenate(([1.0], tail)))[: dry.size]
    return np.asarray(gain * wet + chance.standard_normal(dry.size) * 30)


def _clip(samples: NDArray[np.float64]) -> Clip:
    return Clip(samples.clip(-32768, 32767).astype("<i2").tobytes())


@pytest.mark.parametrize("gain", [0.02, 0.1, 0.5])
@pytest.mark.parametrize("late_s", [-0.3, 0.0, 0.4])
def test_our_own_voice_is_known_again(answer: Clip, gain: float, late_s: float):
    room = _in_a_room(answer, gain)
    for begin_s, seconds in ((0.2, 1.0), (2.0, 2.5), (5.0, 0.8), (8.0, 3.0)):
        first = round(begin_s * EAR_RATE_HZ)
        heard = _clip(room[first : first + round(seconds * EAR_RATE_HZ)])
        assert echo_likeness(heard, answer, begin_s + late_s) > ALIKE


@pytest.mark.parametrize(("accent", "rate"), KEEPERS)
def test_a_keeper_is_not_taken_for_us(answer: Clip, accent: str, rate: int):
    keeper = EspeakVoice(rate, accent)
    for place_s, phrase in enumerate(PHRASES):
        clip = keeper.render(phrase)
        said = samples_at(clip, EAR_RATE_HZ).astype(float)
        heard = _clip(np.concatenate((np.zeros(5760), said, np.zeros(2000))))
        assert echo_likeness(heard, answer, 1.3 * place_s) < ALIKE
    keeper.close()


def test_too_little_is_nobody():
    assert echo_likeness(Clip(bytes(200)), Clip(bytes(32_000)), 0.0) == 0.0
