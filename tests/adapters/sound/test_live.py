"""Talks through a virtual sound card, with a voice, ears and devices that are all real."""

from __future__ import annotations

import json
import subprocess
import sys
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soxr
from numpy.typing import NDArray

from assistant.adapters.sound.wav_writer import write_wav
from assistant.adapters.talk.voice import EspeakVoice

ROOT = Path(__file__).parents[3]
TALK = Path(__file__).with_name("talk.py")

ANSWER = "cockatiel, ninety five grams: nought point four eight mils."
LONG_ANSWER = ANSWER + " The needle is dry: draw past the mark, tip it up, and push to the mark."

Script = list[tuple[str, list[tuple[str, float]]]]
Talk = Callable[..., list[str]]


@pytest.fixture
def talk(sound_card: dict[str, str], tmp_path: Path) -> Talk:
    """A talk that is opened with "cockatiel ninety five grams"."""
    keeper = EspeakVoice(150, "en-us+f3")
    for name, words in {
        "opening.wav": "cockatiel ninety five grams",
        "budgie.wav": "budgie thirty four grams",
        "goodbye.wav": "goodbye",
    }.items():
        write_wav(keeper.render(words), tmp_path / name)
    keeper.close()

    def run(script: Script, *more: str) -> list[str]:
        command = [sys.executable, str(TALK), json.dumps(script), str(tmp_path), *more]
        done = subprocess.run(
            command, env=sound_card, capture_output=True, text=True, timeout=120, check=False
        )
        assert done.returncode == 0, done.stderr
        heard: list[str] = json.loads(done.stdout)
        return heard

    return run


def _loudness(samples: NDArray[np.int16], rate_hz: int) -> NDArray[np.float64]:
    """The course of the loudness from the first to the last sound, in steps of 20 ms."""
    loud = np.flatnonzero(np.abs(samples) > 500)
    heard = samples[loud[0] : loud[-1] + 1].astype(float)
    step = rate_hz // 50
    blocks = heard[: len(heard) // step * step].reshape(-1, step)
    course: NDArray[np.float64] = np.sqrt((blocks**2).mean(axis=1))
    return course


def test_a_spoken_request_is_answered_aloud(talk: Talk, tmp_path: Path):
    assert talk([(ANSWER, [("goodbye.wav", 6)]), (".", [])]) == [
        "cockatiel ninety five grams",
        "goodbye",
    ]
    with wave.open(str(tmp_path / "answers.wav")) as recording:
        samples = np.frombuffer(recording.readframes(-1), dtype="<i2")
        heard = _loudness(samples, recording.getframerate())
    voice = EspeakVoice(165, None)
    clip = voice.render(ANSWER)
    voice.close()
    said = _loudness(soxr.resample(np.frombuffer(clip.pcm, "<i2"), clip.rate_hz, 44_100), 44_100)
    assert len(heard) == pytest.approx(len(said), abs=2)
    shortest = min(len(heard), len(said))
    assert np.corrcoef(heard[:shortest], said[:shortest])[0, 1] > 0.9


def test_what_is_said_during_an_answer_is_not_heard(talk: Talk):
    cues = [("budgie.wav", 0.5), ("goodbye.wav", 10)]
    assert talk([(LONG_ANSWER, cues), (".", [])]) == ["cockatiel ninety five grams", "goodbye"]


def test_half_a_sentence_is_never_taken_for_a_whole_one(talk: Talk):
    """Cut off by the end of the answer, "cockatiel ninety five grams" may end as "five grams"."""
    cues = [("opening.wav", -1.0), ("goodbye.wav", 12)]
    heard = talk([(LONG_ANSWER, cues), ("", []), (".", [])])
    assert heard == ["cockatiel ninety five grams", "", "goodbye"]


def test_with_a_headset_what_is_said_over_an_answer_cuts_it_and_is_heard(
    talk: Talk, tmp_path: Path
):
    script: Script = [
        (LONG_ANSWER, [("budgie.wav", 1.0)]),
        ("Yes.", [("goodbye.wav", 3)]),
        (".", []),
    ]
    heard = talk(script, "headset")
    assert heard == ["cockatiel ninety five grams", "budgie thirty four grams", "goodbye"]
    with wave.open(str(tmp_path / "answers.wav")) as recording:
        samples = np.frombuffer(recording.readframes(-1), dtype="<i2")
        rate_hz = recording.getframerate()
    spoken_s = np.count_nonzero(_loudness(samples, rate_hz) > 100) / 50
    voice = EspeakVoice(165, None)
    whole_s = voice.render(LONG_ANSWER).seconds
    voice.close()
    assert 1.5 < spoken_s < whole_s - 2.0
