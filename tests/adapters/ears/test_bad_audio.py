"""Sound that no keeper makes, through the real voice detector and the real ears."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from assistant.adapters.ears.pocketsphinx import PocketsphinxEars
from assistant.adapters.sound.endpointing import LONGEST_UTTERANCE_S, Utterance, utterances
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.noises import noise
from tests.ear_scene import Samples, clip_of, hear, say
from tests.ear_scene import noise as hiss

MINUTE = 60 * EAR_RATE_HZ
PHRASE = "cockatiel ninety five grams"


def streamed(*pieces: bytes) -> Iterator[Clip]:
    for piece in pieces:
        for at in range(0, len(piece), 960):
            yield Clip(piece[at : at + 960])


def found_in(*pieces: bytes) -> list[Utterance]:
    return list(utterances(streamed(*pieces)))


def given_s(found: list[Utterance]) -> float:
    """How many seconds of sound an ear is given."""
    return sum(one.clip.seconds for one in found if one.complete)


def phrase(shift: float = 0.0) -> bytes:
    """The phrase on a zero that is shifted by a part of full scale, in a faint hiss."""
    samples = np.frombuffer(say(PHRASE).pcm, "<i2") / 32768
    return clip_of(samples / 2 + shift + hiss(samples.size / EAR_RATE_HZ, 0.0002)).pcm


def test_an_hour_of_silence_gives_an_ear_nothing_and_the_next_phrase_whole():
    silence, faint = bytes(2 * MINUTE), clip_of(hiss(60, 0.0002)).pcm
    found = found_in(*[silence] * 30, *[faint] * 30, phrase(), faint)
    assert len([one for one in found if one.clip.seconds > 1]) == 1
    assert found[-1].complete
    assert given_s(found) < 4


@pytest.mark.parametrize("kind", ["white", "brown"])
def test_loud_noise_without_end_gives_an_ear_next_to_nothing(kind: str):
    loud = clip_of(0.3 * noise(kind, generator(kind), MINUTE, lambda _: np.zeros(1))).pcm
    found = found_in(*[loud] * 10)
    assert given_s(found) < 10
    assert all(one.clip.seconds <= LONGEST_UTTERANCE_S for one in found)


def test_birdsong_without_end_gives_an_ear_less_than_a_sixth_of_it():
    songs = [noise("chirps", generator(str(n)), MINUTE, lambda _: np.zeros(1)) for n in range(10)]
    found = found_in(*[clip_of(0.1 * song).pcm for song in songs])
    assert given_s(found) < 100
    assert all(one.clip.seconds <= LONGEST_UTTERANCE_S for one in found)


def square(seconds: float) -> Samples:
    return np.sign(np.sin(2 * np.pi * 220.5 * np.arange(int(seconds * EAR_RATE_HZ)) / EAR_RATE_HZ))


@pytest.mark.parametrize("seconds", [0.05, 0.5, 3.0])
def test_a_burst_at_full_scale_is_no_phrase_and_the_next_one_is_heard(
    ears: PocketsphinxEars, seconds: float
):
    quiet = clip_of(hiss(2, 0.0002)).pcm
    found = found_in(quiet, clip_of(square(seconds)).pcm, quiet, phrase(), quiet)
    heard = [hear(ears, one.clip).words for one in found if one.complete]
    assert [words for words in heard if words] == [PHRASE]


@pytest.mark.parametrize("shift", [-0.3, 0.1, 0.3])
def test_a_shifted_zero_changes_nothing(ears: PocketsphinxEars, shift: float):
    quiet = clip_of(shift + hiss(2, 0.0002)).pcm
    found = found_in(quiet, phrase(shift), quiet)
    heard = [hear(ears, one.clip).words for one in found]
    assert [words for words in heard if words] == [PHRASE]
