"""`dosewren enrol` from recordings, with the real ears and the real home."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from assistant.adapters.home.hearing_file import read_hearing
from assistant.adapters.home.labelled_recordings import read_labelled
from assistant.adapters.home.setting_up import make_demo
from assistant.wiring import open_home


def dosewren(home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", *words, "--home", str(home)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("enrol") / "home"
    make_demo(open_home(str(home)))
    kit = home / "kit.toml"
    kit.write_text(f"keep_recordings = true\n{kit.read_text('utf-8')}", "utf-8")
    return home


@pytest.fixture(scope="module")
def enrolled(demo: Path) -> subprocess.CompletedProcess[str]:
    """An enrolment of flite's rms, in which one phrase is quite another one."""
    listed = dosewren(demo, "enrol", "--list").stdout.splitlines()
    spoken = demo.parent / "spoken"
    spoken.mkdir()
    for number, line in enumerate(listed):
        file, _, phrase = line.partition("  ")
        said = "galah three hundred grams" if number == 4 else phrase
        subprocess.run(["flite", "-voice", "rms", "-t", said, "-o", str(spoken / file)], check=True)
    return dosewren(demo, "enrol", "--from", str(spoken))


def test_it_says_plainly_how_well_it_hears(enrolled: subprocess.CompletedProcess[str]):
    assert enrolled.returncode == 0, enrolled.stderr
    first = enrolled.stdout.splitlines()[1]
    right = int(first.removeprefix("Heard right at once: ").split()[0])
    assert first.endswith("Wrong: 1.")
    assert 12 <= right <= 19
    assert "The microphone is neither too loud, too quiet nor noisy." in enrolled.stdout


def test_a_phrase_surely_heard_wrong_leaves_the_bar_where_it_was(
    enrolled: subprocess.CompletedProcess[str], demo: Path
):
    assert "clearly heard wrong, so it goes on asking" in enrolled.stdout
    found = read_hearing(demo / "hearing.toml").enrolled
    assert found is not None
    assert (found.strain_habit, found.phrases) == (0.0, 20)


def test_what_was_read_is_kept_as_examples_where_recordings_are_kept(
    enrolled: subprocess.CompletedProcess[str], demo: Path
):
    assert enrolled.returncode == 0
    kept = list(read_labelled(demo / "recordings"))
    assert len(kept) == 20
    assert {one.line["label"] for one in kept} == {"read"}


def test_a_missing_recording_is_told_and_nothing_is_written(tmp_path: Path, home: Path):
    make_demo(open_home(str(home)))
    done = dosewren(home, "enrol", "--from", str(tmp_path))
    assert done.returncode == 5
    assert "01.wav" in done.stderr
    assert not (home / "hearing.toml").exists()


def test_recordings_of_another_list_are_told_and_nothing_is_written(
    enrolled: subprocess.CompletedProcess[str], demo: Path, home: Path
):
    assert enrolled.returncode == 0
    make_demo(open_home(str(home)))
    shifted = home / "shifted"
    shifted.mkdir()
    for number in range(20):
        spoken = demo.parent / "spoken" / f"{(number + 1) % 20 + 1:02d}.wav"
        (shifted / f"{number + 1:02d}.wav").symlink_to(spoken)
    done = dosewren(home, "enrol", "--from", str(shifted))
    assert done.returncode == 3
    assert "dosewren enrol --list" in done.stderr
    assert not (home / "hearing.toml").exists()
