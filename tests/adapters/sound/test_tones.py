"""Tones: short, soft, apart from each other; and a voice made louder without breaking."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.sound.tones import at_loudness, tone
from assistant.audio import Clip
from assistant.conversation.turn import Cue


def _samples(clip: Clip) -> NDArray[np.float64]:
    return np.frombuffer(clip.pcm, dtype="<i2").astype(float) / 32768


@pytest.mark.parametrize("cue", Cue)
def test_a_tone_is_short_soft_and_has_no_edge(cue: Cue):
    samples = _samples(tone(cue))
    assert 0.1 < tone(cue).seconds < 0.5
    assert 0.05 < np.abs(samples).max() <= 0.1001
    assert np.abs(np.diff(samples)).max() < 0.03
    assert abs(samples[0]) < 0.001
    assert abs(samples[-1]) < 0.001


@pytest.mark.parametrize("cue", Cue)
def test_a_tone_lies_where_few_birds_call(cue: Cue):
    samples = _samples(tone(cue))
    power = np.abs(np.fft.rfft(samples)) ** 2
    hertz = np.fft.rfftfreq(samples.size, 1 / tone(cue).rate_hz)
    within = power[(hertz > 280) & (hertz < 900)].sum()
    assert within > 0.98 * power.sum()


@pytest.mark.parametrize(("one", "other"), list(combinations(Cue, 2)))
def test_no_two_tones_are_alike(one: Cue, other: Cue):
    assert tone(one).pcm != tone(other).pcm
    shortest = min(tone(one).samples, tone(other).samples)
    pair = [_samples(tone(cue))[:shortest] for cue in (one, other)]
    assert abs(np.corrcoef(pair[0], pair[1])[0, 1]) < 0.8


def test_louder_is_louder_and_never_clips():
    loud = Clip((30_000 * np.sin(np.arange(8000) / 20)).astype("<i2").tobytes())
    faint = Clip((300 * np.sin(np.arange(8000) / 20)).astype("<i2").tobytes())
    assert np.abs(_samples(at_loudness(loud, 10))).max() < 0.9999
    assert np.abs(_samples(at_loudness(loud, 10))).mean() > np.abs(_samples(loud)).mean()
    ratio = np.abs(_samples(at_loudness(faint, -6))).max() / np.abs(_samples(faint)).max()
    assert ratio == pytest.approx(0.5, abs=0.01)
    assert at_loudness(faint, 0) is faint
