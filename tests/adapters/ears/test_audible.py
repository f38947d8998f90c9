"""What is laid under the sound before pocketsphinx hears it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.ears.audible import made_audible
from assistant.adapters.ears.pocketsphinx import PocketsphinxEars
from assistant.adapters.ears.signal_meter import measure
from assistant.bench.acoustic.sound import decibels, from_pcm
from tests.ear_scene import clip_of, hear, say

PHRASE = "cockatiel ninety five grams"


@pytest.mark.parametrize("turned_db", [0, -20, -40])
def test_a_voice_is_heard_however_quiet_it_is(ears: PocketsphinxEars, turned_db: float):
    spoken = from_pcm(say(PHRASE).pcm)
    quiet = clip_of(spoken / np.abs(spoken).max() * 0.5 * decibels(turned_db))
    assert hear(ears, quiet).words == PHRASE


def test_speech_comes_out_at_one_level_over_one_noise():
    spoken = from_pcm(say(PHRASE).pcm)
    for loudness in (0.004, 0.05, 0.4):
        made = measure(made_audible(clip_of(spoken * loudness).pcm))
        assert made.level_dbfs == pytest.approx(-26, abs=1)
        assert made.noise_dbfs == pytest.approx(-59, abs=2)


def test_the_same_sound_is_made_the_same():
    pcm = say(PHRASE).pcm
    assert made_audible(pcm) == made_audible(pcm)


@given(st.binary(max_size=4000).map(lambda pcm: pcm[: len(pcm) // 2 * 2]))
def test_any_sound_comes_out_with_a_little_before_and_after_it(pcm: bytes):
    assert len(made_audible(pcm)) == len(pcm) + 2 * 2 * 3200
