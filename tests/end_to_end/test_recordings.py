"""What a keeper says is kept only where they want it, and a correction makes an example of it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.end_to_end.scenes import dosewren

KEEPER = ("yes", "cockatiel ninety five grams", "no eighty five", "given")


def check(home: Path) -> str:
    """What the check says; it ends with 5 where the machine has no sound card."""
    command = [sys.executable, "-m", "assistant", "check", "--home", str(home)]
    return subprocess.run(command, check=False, capture_output=True, text=True).stdout


@pytest.fixture
def spoken(tmp_path: Path) -> list[str]:
    files = [str(tmp_path / f"{number}.wav") for number in range(len(KEEPER))]
    for file, phrase in zip(files, KEEPER, strict=True):
        subprocess.run(["flite", "-voice", "rms", "-t", phrase, "-o", file], check=True)
    return files


def test_nothing_is_kept_unless_the_kit_says_so(home: Path, spoken: list[str]):
    dosewren(home, "setup", "--demo")
    dosewren(home, "hear", spoken[1])
    assert not (home / "recordings").exists()
    assert "not being kept" in dosewren(home, "recordings")


def test_a_correction_labels_the_recording_before_it(home: Path, spoken: list[str]):
    dosewren(home, "setup", "--demo")
    kit = home / "kit.toml"
    kit.write_text(f"keep_recordings = true\n{kit.read_text('utf-8')}", "utf-8")
    dosewren(home, "hear", "--together", *spoken)
    manifest = (home / "recordings" / "manifest.jsonl").read_text("utf-8")
    lines = [json.loads(line) for line in manifest.splitlines()]
    assert [(line.get("text"), line.get("label")) for line in lines][1] == (
        *("cockatiel eighty five grams", "corrected"),
    )
    assert [line.get("label") for line in lines] == [None, "corrected", "confirmed", None]
    told = dosewren(home, "recordings")
    assert "4 recordings" in told
    assert "what you say is kept in" in check(home)
    assert str(home / "recordings") in told
    dosewren(home, "recordings", "--delete")
    assert list((home / "recordings").iterdir()) == []
