"""A second terminal types into `dosewren talk`: answered there, mentioned aloud, and its end."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.end_to_end.scenes import dosewren, play
from tests.end_to_end.test_talk import spoken_stretches


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[str], Path, int]:
    """What the second terminal printed, the folder of the recording, and its exit code."""
    folder = tmp_path_factory.mktemp("typed")
    home = folder / "home"
    dosewren(home, "setup", "--demo")
    ran = play("talk_typed_into", home, folder / "answers.wav", limit_s=600)
    return ran.stdout.splitlines(), folder, ran.returncode


def test_what_was_typed_is_answered_where_it_was_typed(done: tuple[list[str], Path, int]):
    answers = [json.loads(line) for line in done[0] if line.startswith("{")]
    assert [one["heard"] for one in answers] == ["yes", "budgie 31", "given"]
    assert answers[2]["reply"].startswith("Given: Budgerigar, 31 grams, 0.15 mL.")


def test_the_voice_mentions_each_line_after_the_greeting(done: tuple[list[str], Path, int]):
    assert spoken_stretches(done[1] / "answers.wav") == 4


def test_the_second_terminal_says_that_the_killed_talk_is_gone(done: tuple[list[str], Path, int]):
    shown = "\n".join(done[0])
    assert done[2] == 5
    assert "Joined a round (dosewren talk, since" in shown
    assert "The window that held the round is gone." in shown
    assert "“cockatiel 95” was not written down: say it again." in shown


def test_the_register_has_the_dose_as_given(done: tuple[list[str], Path, int]):
    (dose,) = map(json.loads, dosewren(done[1] / "home", "register", "--json").splitlines())
    assert (dose["species"], dose["grams"], dose["end"]) == ("Budgerigar", 31, "given")
