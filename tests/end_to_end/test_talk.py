"""`dosewren talk` on a sound card made of software: spoken to, and listened to."""

from __future__ import annotations

import json
import re
import wave
from array import array
from pathlib import Path

import pytest

from tests.end_to_end.scenes import dosewren, play

A_LITTLE = 300
KEEPER = ("yes", "cockatiel ninety five grams", "given", "goodbye")


@pytest.fixture(scope="module")
def talk(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path, Path]:
    """What was shown, the keeper's home, and the recording of all that was spoken."""
    folder = tmp_path_factory.mktemp("talk")
    home = folder / "home"
    dosewren(home, "setup", "--demo")
    kit = home / "kit.toml"
    kit.write_text(f"keep_recordings = true\n{kit.read_text('utf-8')}", "utf-8")
    done = play("talk_round", home, folder, limit_s=600)
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
    return done.stdout, home, folder / "answers.wav"


def exchanges(home: Path) -> list[dict[str, str]]:
    lines = dosewren(home, "register", "--exchanges", "--json").splitlines()
    return [json.loads(line) for line in lines]


def test_every_phrase_was_heard(talk: tuple[str, Path, Path]):
    # an ear may write a number in figures
    shown = talk[0].replace("“cockatiel 95 grams”", "“cockatiel ninety five grams”")
    assert set(re.findall(r"^“(.*)”$", shown, re.MULTILINE)) >= set(KEEPER)


def test_the_dose_is_in_the_register_as_given(talk: tuple[str, Path, Path]):
    doses = map(json.loads, dosewren(talk[1], "register", "--json").splitlines())
    (dose,) = (one for one in doses if one["end"] != "scratched")
    assert (dose["species"], dose["grams"], dose["volume_ml"], dose["end"]) == (
        *("Cockatiel", 95, "0.47", "given"),
    )


def test_the_exchange_came_by_voice(talk: tuple[str, Path, Path]):
    assert {one["channel"] for one in exchanges(talk[1])} == {"voice"}


def test_what_was_said_is_kept_with_what_became_of_it(talk: tuple[str, Path, Path]):
    manifest = talk[1] / "recordings" / "manifest.jsonl"
    lines = [json.loads(line) for line in manifest.read_text("utf-8").splitlines()]
    (asked,) = (line for line in lines if line.get("label") == "confirmed")
    with wave.open(str(manifest.with_name(asked["file"]))) as kept:
        assert 1.0 < kept.getnframes() / kept.getframerate() < 6.0
    assert "What you say is kept in" in talk[0]


def test_it_spoke_the_greeting_and_every_answer(talk: tuple[str, Path, Path]):
    replies = [one for one in exchanges(talk[1]) if one["status"] != "ignored"]
    assert spoken_stretches(talk[2]) == 1 + len(replies)


def spoken_stretches(path: Path) -> int:
    """How many stretches of speech there are with at least 1.2 seconds of quiet between them.

    What is shorter than half a second is a tone.
    """
    with wave.open(str(path)) as recording:
        pcm = array("h", recording.readframes(-1))
        step = recording.getframerate() // 10
    loud = (max(pcm[at : at + step]) > A_LITTLE for at in range(0, len(pcm), step))
    marks = "".join("x" if one else "." for one in loud).strip(".")
    return sum(len(one) > 5 for one in re.split(r"\.{12,}", marks))
