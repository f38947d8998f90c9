"""The signal of an utterance, measured on mixtures whose parts are known."""

from __future__ import annotations

import math
from dataclasses import astuple
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.ears.signal_meter import faded_db, measure
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.noises import noise
from assistant.bench.acoustic.sound import decibels, from_pcm, rms, speech_level
from assistant.hearing.signal import NO_SIGNAL, WORST_SNR_DB, Signal
from tests.ear_scene import Samples, clip_of, say

VOICES = ("flite:slt", "espeak:en-gb", "espeak:en-us+f4")
LEVEL_DBFS = -26.0


@cache
def spoken(voice: str) -> Samples:
    """A phrase at a known level, with half a second before and after it."""
    wave = from_pcm(say("cockatiel ninety five grams", voice).pcm)
    return wave / speech_level(wave) * decibels(LEVEL_DBFS)


def above_100_hz(wave: Samples) -> Samples:
    """The part of a noise that counts."""
    spectrum = np.fft.rfft(wave)
    spectrum[np.fft.rfftfreq(len(wave), 1 / EAR_RATE_HZ) < 100] = 0
    return np.fft.irfft(spectrum, len(wave))


def mixed(voice: str, kind: str, snr_db: float) -> Clip:
    speech = spoken(voice)
    under = above_100_hz(noise(kind, generator(voice), len(speech), lambda _: speech))
    return clip_of(speech + under / rms(under) * decibels(LEVEL_DBFS - snr_db))


@pytest.mark.parametrize("kind", ["white", "pink", "brown"])
@pytest.mark.parametrize("voice", VOICES)
def test_the_ratio_to_a_noise_is_measured_within_a_few_decibels(voice: str, kind: str):
    for snr_db in (0, 5, 10, 15, 20, 25):
        signal = measure(mixed(voice, kind, snr_db).pcm)
        assert abs(signal.snr_db - snr_db) < (5 if snr_db < 5 else 3), snr_db
        assert abs(signal.level_dbfs - LEVEL_DBFS) < 4
        assert abs(signal.noise_dbfs - (LEVEL_DBFS - snr_db)) < 4


def test_more_noise_is_always_measured_as_more():
    ratios = [measure(mixed("flite:slt", "white", db).pcm).snr_db for db in (30, 20, 10, 5, 0, -5)]
    assert ratios == sorted(ratios, reverse=True)


def test_of_noise_alone_nothing_stands_out():
    signal = measure(clip_of(0.1 * np.random.default_rng(1).standard_normal(32_000)).pcm)
    assert signal.snr_db == WORST_SNR_DB
    assert signal.noise_dbfs == pytest.approx(-20, abs=1)


def test_a_shifted_zero_and_a_rumble_change_nothing():
    speech = spoken("flite:slt")
    hum = 0.2 + 0.1 * np.sin(2 * np.pi * 20 * np.arange(len(speech)) / EAR_RATE_HZ)
    plain, shifted = measure(clip_of(speech).pcm), measure(clip_of(speech + hum).pcm)
    assert shifted.level_dbfs == pytest.approx(plain.level_dbfs, abs=0.5)
    assert shifted.snr_db > 35
    assert shifted.clipped == 0


@pytest.mark.parametrize("turned_down", [1.0, 0.9, 0.2])
@pytest.mark.parametrize("voice", VOICES)
def test_flat_tops_are_counted_at_the_rail_and_below_it(voice: str, turned_down: float):
    speech = spoken(voice)
    loud = speech / np.abs(speech).max() * decibels(12)
    cut = float(np.mean(np.abs(loud) >= 1))
    signal = measure(clip_of(np.clip(loud, -1, 1) * turned_down).pcm)
    assert cut / 2 < signal.clipped < cut * 1.2


@pytest.mark.parametrize("voice", VOICES)
def test_speech_and_whistles_just_under_full_scale_are_not_overloaded(voice: str):
    speech = spoken(voice)
    assert measure(clip_of(speech / np.abs(speech).max()).pcm).clipped == 0
    for pitch_hz in (120, 440, 1000, 3100):
        whistle = np.sin(2 * np.pi * pitch_hz * np.arange(32_000) / EAR_RATE_HZ)
        assert measure(clip_of(0.9 * whistle).pcm).clipped == 0


def test_a_square_wave_is_overloaded_all_over():
    wave = np.sign(np.sin(2 * np.pi * 200.3 * np.arange(32_000) / EAR_RATE_HZ) + 1e-9)
    assert measure(clip_of(wave).pcm).clipped > 0.99


def test_of_no_sound_there_is_no_signal():
    assert measure(b"") == measure(b"\0") == measure(bytes(600)) == NO_SIGNAL
    silent = measure(bytes(32_000))
    assert silent == Signal(-100, -100, WORST_SNR_DB, 0, 1)


@given(st.binary(max_size=6000), st.integers(1, 4))
def test_whatever_comes_in_numbers_come_out(pcm: bytes, times: int):
    signal = measure(pcm * times)
    assert all(math.isfinite(value) for value in astuple(signal))
    assert 0 <= signal.clipped <= 1
    assert signal.snr_db >= WORST_SNR_DB


def test_how_far_a_sound_has_faded_at_its_ends():
    """By definition: an amplitude of 1/10 is 20 dB below, of 1/100 40 dB."""
    tone = 0.5 * np.sin(np.arange(EAR_RATE_HZ) * 2 * np.pi * 500 / EAR_RATE_HZ)
    tone[:320] /= 10
    tone[-320:] /= 100
    assert faded_db(clip_of(tone).pcm) == pytest.approx((20, 40), abs=0.1)


def test_silence_at_an_end_has_faded_to_the_steps_of_the_sound():
    tone = 0.5 * np.sin(np.arange(EAR_RATE_HZ) * 2 * np.pi * 500 / EAR_RATE_HZ)
    tone[-320:] = 0
    # half of full scale as a sine lies 9 dB below full scale, one step of 16 bit 90.3 dB
    assert faded_db(clip_of(tone).pcm)[1] == pytest.approx(90.3 - 9.03, abs=0.1)
