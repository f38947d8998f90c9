"""The acoustic bench from its command, at its smallest size, with voices that CI installs."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile

BENCH = [sys.executable, "-m", "assistant.bench.acoustic"]


def bench(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*BENCH, *arguments], capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


def test_trials_are_written_with_what_is_said_in_them(cache: Path, tmp_path: Path):
    chosen = ("--part", "development", "--size", "smoke", "--kind", "dose")
    done = bench("--cache", str(cache), "write", *chosen, str(tmp_path / "out"))
    assert done.returncode == 0, done.stderr
    lines = (tmp_path / "out" / "manifest.jsonl").read_text("utf-8").splitlines()
    trials = [json.loads(line) for line in lines]
    assert len(trials) == 24
    for trial in trials:
        sound = soundfile.info(tmp_path / "out" / trial["file"])
        assert (sound.samplerate, sound.channels) == (16_000, 1)
        assert 0 < trial["speech_end"] < sound.frames
        assert trial["species"]
        assert float(trial["dose_ml"]) > 0


def test_a_run_prints_its_tables_keeps_its_results_and_is_logged(cache: Path):
    chosen = ("--part", "development", "--size", "smoke", "--kind", "dose", "--kind", "noise")
    done = bench("--cache", str(cache), "run", "--ears", "pocketsphinx", *chosen)
    assert done.returncode == 0, done.stderr
    assert "| WRONG, clean to 10 dB |" in done.stdout
    assert "real-time factor" in done.stdout
    (log,) = (cache / "runs.jsonl").read_text("utf-8").splitlines()
    run = json.loads(log)
    assert (run["ears"], run["part"], run["size"]) == ("pocketsphinx", "development", "smoke")
    assert run["commit"]
    again = bench("tables", run["folder"])
    goals = [line for line in done.stdout.splitlines() if "| ≤" in line or "| ≥" in line]
    assert goals
    assert set(goals) <= set(again.stdout.splitlines())


@pytest.mark.parametrize(
    "wrong",
    [("--ears", "nobody"), ("--ears", "assistant:nobody"), ("--set", "beam"), ("--set", "beam=3")],
)
def test_wrong_words_on_the_command_line_end_with_what_to_do(cache: Path, wrong: tuple[str, ...]):
    chosen = ("--size", "smoke", "--kind", "noise")
    done = bench("--cache", str(cache), "run", *chosen, *wrong)
    assert done.returncode == 2
    said = [line for line in done.stderr.splitlines() if not line.startswith("not on this machine")]
    assert len(said) == 2


def test_a_keepers_own_recordings_are_heard_as_they_are(cache: Path, tmp_path: Path):
    chosen = ("--part", "development", "--size", "smoke", "--kind", "control")
    bench("--cache", str(cache), "write", *chosen, str(tmp_path))
    done = bench("--cache", str(cache), "run", "--recordings", str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert "| all | 8 |" in done.stdout


@pytest.mark.parametrize("line", ["no json", '{"file": "1.wav"}', '{"file": "1.wav", "text": "a"}'])
def test_a_manifest_that_cannot_be_used_is_told_by_its_line(cache: Path, tmp_path: Path, line: str):
    (tmp_path / "manifest.jsonl").write_text(line, "utf-8")
    done = bench("--cache", str(cache), "run", "--recordings", str(tmp_path))
    assert done.returncode == 3
    assert "line 1" in done.stderr
    assert "Traceback" not in done.stderr
