"""The recordings that a newcomer hears answered first, held to what they say."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import soundfile

from assistant.adapters.ears.pocketsphinx import PocketsphinxEars
from assistant.adapters.sound.recordings import read_recording
from tests.ear_scene import ROOT, hear

DEMO = ROOT / "fixtures" / "demo"
WORDS = {
    "budgerigar-32.wav": "budgerigar thirty two grams",
    "canary-24.wav": "canary twenty four grams",
    "cockatiel-95.wav": "cockatiel ninety five grams",
    "galah-330.wav": "galah three hundred and thirty grams",
    "quaker-120.wav": "quaker parrot one hundred and twenty grams",
    "ringneck-120.wav": "ringneck one hundred and twenty grams",
    "rosella-105-noise.wav": "eastern rosella one hundred and five grams",
}


@pytest.fixture(scope="module")
def maker() -> Iterator[ModuleType]:
    """The script that made the recordings."""
    spec = importlib.util.spec_from_file_location("maker", DEMO.parent / "make_demo_recordings.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, "maker", module)
        spec.loader.exec_module(module)
        yield module


def test_every_recording_is_known_here():
    assert sorted(path.name for path in DEMO.glob("*.wav")) == sorted(WORDS)


@pytest.mark.parametrize("file", WORDS)
def test_the_embedded_ear_hears_it_word_for_word(whole_ears: PocketsphinxEars, file: str):
    heard = hear(whole_ears, read_recording(DEMO / file))

    # the two spellings sound alike, and the table knows both
    assert heard.words.replace("gala ", "galah ") == WORDS[file]
    assert heard.confidence > 0.5


@pytest.mark.parametrize("file", WORDS)
def test_it_is_a_small_file_of_16_bit_mono_at_16_khz(file: str):
    info = soundfile.info(DEMO / file)

    assert (info.samplerate, info.channels, info.subtype) == (16_000, 1, "PCM_16")
    assert (DEMO / file).stat().st_size < 200_000


def test_the_script_says_what_each_holds_and_makes_it_anew(maker: ModuleType, tmp_path: Path):
    assert {line.file: line.words for line in maker.LINES} == WORDS

    maker.main(tmp_path)

    for file in WORDS:
        # another version of a voice speaks a little longer or shorter
        made, kept = (read_recording(folder / file) for folder in (tmp_path, DEMO))
        assert made.seconds == pytest.approx(kept.seconds, rel=0.2)
        assert np.abs(np.frombuffer(made.pcm, dtype="<i2")).max() == pytest.approx(16_384, abs=4)


def test_the_voices_differ_and_one_has_noise(maker: ModuleType):
    assert {line.program for line in maker.LINES} == {"espeak-ng", "flite", "festival"}
    assert len({line.voice for line in maker.LINES}) == len(WORDS)
    assert sum(line.noise_db is not None for line in maker.LINES) == 1
