"""The natural voices of the bench: how they are named, mixed and missed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from assistant.bench.acoustic import kokoro
from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.noises import MADE
from assistant.bench.acoustic.parts import declared
from assistant.bench.acoustic.records import Part, Voice
from assistant.bench.acoustic.textures import coloured_by
from assistant.bench.acoustic.voices import speech
from assistant.errors import EngineUnavailable


@pytest.fixture
def tables(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with two voices, of ones and of threes, whose first numbers are the rows'."""
    for name, height in (("one", 1.0), ("three", 3.0)):
        table = np.full((510, 256), height, "<f4")
        table[:, 0] = np.arange(510)
        table.tofile(tmp_path / f"{name}.bin")
    monkeypatch.setenv(kokoro.VARIABLE, str(tmp_path))
    return tmp_path


def test_two_voices_are_mixed_in_equal_parts_in_the_row_of_the_length(tables: Path):
    row = kokoro.style([str(tables / "one.bin"), str(tables / "three.bin")], 21)
    assert row.shape == (1, 256)
    assert row[0, 0] == 20
    assert set(row[0, 1:].tolist()) == {2.0}


@pytest.mark.usefixtures("tables")
def test_a_voice_without_its_table_is_not_here(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(kokoro, "_PACKAGES", ("numpy",))  # the model itself is not at stake
    assert kokoro.kokoro_is_here("en-gb/one+three")
    assert not kokoro.kokoro_is_here("en-gb/one+four")


def test_a_missing_voice_says_what_to_fetch(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setenv(kokoro.VARIABLE, str(tmp_path))
    with pytest.raises(EngineUnavailable) as told:
        speech(Voice("kokoro", "en-gb/nobody"), "galah")
    assert "npm pack kokoro-js" in told.value.remedy
    assert kokoro.VARIABLE in told.value.remedy


def test_no_natural_voice_is_in_the_test_part():
    assert all(one.engine != "kokoro" for one in declared(Part.TEST).voices)


@pytest.mark.parametrize("kind", ["shaped", "rain", "rattle", "wings", "machine", "calls", "thuds"])
def test_the_noises_of_the_fitting_are_in_neither_part_and_differ_each_time(kind: str):
    assert all(kind not in declared(part).noises for part in Part)
    one, other = (MADE[kind](generator(seed), 20_000) for seed in "ab")
    assert one.shape == other.shape == (20_000,)
    assert np.isfinite(one).all()
    assert not np.array_equal(one, other)
    assert np.std(one) > 0


def test_a_coloured_sound_stays_within_its_decibels():
    chance = generator("colour")
    click = np.zeros(4096)
    click[0] = 1.0
    gain_db = 20 * np.log10(np.abs(np.fft.rfft(coloured_by(chance, click, 6.0, peaks=2))))
    assert 1.0 < np.abs(gain_db).max() <= 12.0
