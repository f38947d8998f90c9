"""`dosewren check` speaks the keeper's own names and listens, with the real voice and ears."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from assistant.adapters.home.setting_up import make_demo
from assistant.commands.name_check import names_to_check
from assistant.errors import DataProblem
from assistant.wiring import open_desk, open_ears, open_home, word_sounds

STRANGE = '\n[[bird]]\nname = "Galar"\nspecies = "Galah"\n'


def dosewren(home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", *words, "--home", str(home)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


@pytest.fixture
def demo(home: Path) -> Path:
    make_demo(open_home(str(home)))
    return home


def test_a_name_that_cannot_be_heard_again_is_told_with_what_to_do(demo: Path):
    birds = demo / "birds.toml"
    birds.write_text(birds.read_text("utf-8") + STRANGE, "utf-8")
    done = dosewren(demo, "check")
    lines = [line for line in done.stdout.splitlines() if line.startswith("Names")]
    assert lines[0].endswith("8 names of your own spoken and listened to, 7 heard again")
    assert "“galar” was heard as the name “galah”" in lines[1]
    assert "pronunciations.dict, as in: galar  " in lines[2]
    assert len(lines) == 3


def test_the_names_are_the_keepers_own_unless_all_are_wanted(demo: Path):
    desk = open_desk(str(demo))
    own = {one.said for one in names_to_check(desk, everything=False)}
    assert own == {
        *("pepper", "saffron", "demo tiel", "marigold", "marigold demo", "thistle"),
        "thistle demo",
    }
    every = {one.said for one in names_to_check(desk, everything=True)}
    assert own < every
    assert {"galah", "cockatiel"} <= every


def test_the_keepers_own_pronunciations_take_the_place_of_ours(demo: Path):
    (demo / "pronunciations.dict").write_text("galah  M UW S\nsaffron  S AE F R AH N\n", "utf-8")
    said = word_sounds(open_desk(str(demo))).ours
    assert list(said["galah"]) == ["M UW S"]
    assert list(said["saffron"]) == ["S AE F R AH N"]
    assert len(said["cockatiel"]) > 1


def test_a_mistake_in_them_is_told_before_a_round(demo: Path):
    (demo / "pronunciations.dict").write_text("galah  MOUSE\n", "utf-8")
    with pytest.raises(DataProblem, match="line 1: “MOUSE” is not one of the phones"):
        open_ears(open_desk(str(demo)), None)
