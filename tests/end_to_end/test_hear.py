"""`dosewren hear` as others build on it: one line for each file, whatever the files hold."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "fixtures" / "demo"
KEYS = {
    *("file", "heard", "status", "intent", "species", "grams", "confidence", "medicine"),
    *("dose_ml", "dose_ml_exact", "reply"),
}


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hear") / "home"
    assert run(folder, "setup", "--demo").returncode == 0
    return folder


def run(home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", *words, "--home", str(home)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_each_file_gets_its_line_and_a_broken_one_stops_nothing(home: Path, tmp_path: Path):
    broken, empty = tmp_path / "broken.wav", tmp_path / "empty.wav"
    broken.write_text("no sound at all")
    empty.touch()
    files = [str(broken), str(DEMO / "cockatiel-95.wav"), str(empty), str(tmp_path / "missing.wav")]
    done = run(home, "hear", "--json", *files)
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert done.returncode == 0
    assert [line["file"] for line in lines] == files
    assert [line["status"] for line in lines] == ["ignored", "answered", "ignored", "ignored"]
    assert all(line.keys() >= KEYS for line in lines)
    assert ["error" in line for line in lines] == [True, False, True, True]
    assert lines[1]["species"] == "Cockatiel"
    assert (lines[1]["grams"], lines[1]["dose_ml"], lines[1]["dose_ml_exact"]) == (
        *(95, "0.47", "0.475"),
    )


def test_more_than_two_hundred_files_in_one_call(home: Path, tmp_path: Path):
    for number in range(205):
        (tmp_path / f"{number}.wav").write_bytes(b"RIFF")
    files = [str(tmp_path / f"{number}.wav") for number in range(205)]
    done = run(home, "hear", "--json", *files)
    assert done.returncode == 0
    assert len(done.stdout.splitlines()) == 205


def test_answers_are_spoken_into_the_folder(home: Path, tmp_path: Path):
    spoken = tmp_path / "new" / "answers"
    done = run(home, "hear", "--speak", str(spoken), str(DEMO / "cockatiel-95.wav"))
    assert done.returncode == 0
    assert [path.name for path in spoken.iterdir()] == ["001-cockatiel-95.wav"]


def test_a_folder_that_cannot_be_written_to_is_told_before_listening(home: Path, tmp_path: Path):
    file = tmp_path / "file"
    shutil.copy(DEMO / "cockatiel-95.wav", file)
    done = run(home, "hear", "--speak", str(file / "answers"), str(DEMO / "cockatiel-95.wav"))
    assert (done.returncode, done.stdout) == (5, "")
    assert "cannot be written" in done.stderr
