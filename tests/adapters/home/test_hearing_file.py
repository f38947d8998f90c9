"""hearing.toml: written and read back, and every wrong value told."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.home.hearing_file import (
    ChosenEars,
    Enrolled,
    HearingSettings,
    read_hearing,
    write_hearing,
)
from assistant.dosing.tables import FigureProblems
from assistant.hearing.choosing import Ear, Pair

ALL = HearingSettings(
    ChosenEars(Pair(Ear.NEURAL, Ear.VOSK), 42, "2026-03-01"),
    Enrolled(strain_habit=0.4, noise_db=-52.3, right=18, phrases=20, measured="2026-03-01"),
    {"galah": ("G AH L AA R",)},
)
EARS = '[ears]\nfirst = "neural"\nrecordings = 30\nmeasured = "today"\n'
ENROLLED = "[enrolled]\nstrain_habit = 0.4\nnoise_db = -50.0\nright = 18\nphrases = 20\n"


@pytest.mark.parametrize("settings", [ALL, HearingSettings()])
def test_what_is_written_is_read_back(tmp_path: Path, settings: HearingSettings):
    path = tmp_path / "hearing.toml"
    write_hearing(path, settings)
    write_hearing(path, settings)
    assert read_hearing(path) == settings


def test_without_the_file_nothing_is_set(tmp_path: Path):
    assert read_hearing(tmp_path / "hearing.toml") == HearingSettings()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[ear]", "is not known"),
        (EARS.replace("neural", "cochlear"), "there is no ear “cochlear”"),
        (EARS + 'second = "neural"', "is the same ear as the first"),
        (EARS.replace("30", "0"), "is not a number above zero"),
        (ENROLLED + 'measured = "x"'.replace("x", ""), "is not a text"),
        (ENROLLED.replace("0.4", "1.6") + 'measured = "x"', "is more than 1.5"),
        (ENROLLED.replace("0.4", "-0.1") + 'measured = "x"', "zero or above"),
        (ENROLLED.replace("-50.0", "nan") + 'measured = "x"', "is not a level"),
        ('[pronunciations]\ngalah = ["G AX"]', "is not in the phones of CMUdict"),
        ("[pronunciations]\ngalah = []", "is empty"),
    ],
)
def test_a_wrong_value_is_told_with_its_place(tmp_path: Path, text: str, told: str):
    path = tmp_path / "hearing.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(FigureProblems, match=told) as caught:
        read_hearing(path)
    assert str(path) in str(caught.value)
