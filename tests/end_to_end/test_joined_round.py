"""One round, several terminals: typed in real ones, killed for real, and the register compared."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.end_to_end.terminal_scene import Terminal

ROOT = Path(__file__).parents[2]
Window = Callable[[str], Terminal]


def run(home: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", *words, "--home", str(home)]
    return subprocess.run(command, input=typed, capture_output=True, text=True, check=False)


@pytest.fixture
def aviary(home: Path) -> Path:
    assert run(home, "setup", "--demo").returncode == 0
    return home


@pytest.fixture
def window(aviary: Path, tmp_path: Path) -> Iterator[Window]:
    """Terminals in which `dosewren` runs, once they wait for a line."""
    opened: list[Terminal] = []

    def open_window(name: str) -> Terminal:
        command = [sys.executable, "-m", "assistant", "--home", str(aviary)]
        opened.append(Terminal(tmp_path / name, command))
        opened[-1].wait_for("\n>")
        return opened[-1]

    yield open_window
    for terminal in opened:
        terminal.close()


def doses(home: Path) -> list[tuple[str, int, str, str | None]]:
    lines = run(home, "register", "--json").stdout.splitlines()
    rows = map(json.loads, lines)
    return [(row["species"], row["grams"], row["volume_ml"], row["end"]) for row in rows]


def test_two_terminals_see_and_move_the_same_round(aviary: Path, window: Window):
    first, second = window("first"), window("second")
    assert "You have joined a round (dosewren, since" in second.screen()
    second.type("yes", "Enter")
    first.wait_for("“yes” (typed elsewhere)")
    second.type("pepper 95", "Enter")
    assert "---<[===================|" in first.wait_for("^ 0.47")
    first.type("given", "Enter")
    second.wait_for("“given” (typed elsewhere)")
    second.wait_for("Given: Pepper, Cockatiel, 95 grams, 0.47 mL.")
    second.type("budgie 31", "Enter")
    first.wait_for("Budgerigar, 31 grams.")
    second.type("given", "Enter")
    second.wait_for("Given: Budgerigar")
    assert doses(aviary) == [
        ("Cockatiel", 95, "0.47", "given"),
        ("Budgerigar", 31, "0.15", "given"),
    ]


def test_a_guests_goodbye_ends_nobody_elses_round(window: Window):
    first, second = window("first"), window("second")
    second.type("goodbye", "Enter")
    second.wait_for("You have left. The round goes on in the other window.")
    first.type("yes", "Enter")
    first.wait_for("Ready.")
    third = window("third")
    first.type("goodbye", "Enter")
    third.wait_for("0 birds given. Goodbye.")


def test_another_program_joins_the_round_line_by_line(aviary: Path, window: Window):
    first = window("first")
    first.type("yes", "Enter")
    first.wait_for("Ready.")
    done = run(aviary, "ask", "--json", "-", typed="budgie 31\ngiven\n")
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert [one["status"] for one in answers] == ["answered", "command"]
    assert {one["engine"] for one in answers} == {"keyboard 2"}
    first.wait_for("Given: Budgerigar, 31 grams, 0.15 mL.")
    first.type("how many done", "Enter")
    first.wait_for("1 bird given.")


def test_a_second_voice_is_told_why_not(aviary: Path, window: Window):
    window("first")
    spoken = str(ROOT / "fixtures" / "demo" / "cockatiel-95.wav")
    done = run(aviary, "hear", "--together", spoken)
    assert done.returncode == 5
    assert "A round is open already (dosewren, since" in done.stderr
    assert "dosewren join" in done.stderr
    assert doses(aviary) == []


def test_a_killed_round_loses_nothing_and_the_guest_goes_on(aviary: Path, window: Window):
    first, second = window("first"), window("second")
    second.type("yes", "Enter")
    first.wait_for("Ready.")
    second.type("pepper 95", "Enter")
    first.wait_for("^ 0.47")
    holder = json.loads((aviary / "round.lock").read_text("utf-8"))["process"]
    os.kill(holder, signal.SIGKILL)
    screen = second.wait_for("goodbye to leave.")
    assert "The window that held the round is gone." in screen
    assert "Still open there: Pepper, Cockatiel, 95 grams, 0.47 mL." in screen
    assert doses(aviary) == [("Cockatiel", 95, "0.47", None)]
    second.type("yes", "Enter")
    second.wait_for("Ready.")
    third = window("third")
    third.type("budgie 31", "Enter")
    second.wait_for("“budgie 31” (typed elsewhere)")


def test_joining_where_no_round_is_open_says_so(aviary: Path):
    done = run(aviary, "join")
    assert done.returncode == 5
    assert "No round is open here." in done.stderr


def test_a_single_question_is_answered_beside_a_round_and_guarded_by_it(
    aviary: Path, window: Window
):
    first = window("first")
    for typed, answer in (("yes", "Ready."), ("pepper 95", "^ 0.47"), ("given", "Given: Pepper")):
        first.type(typed, "Enter")
        first.wait_for(answer)
    assert "No dose. Pepper had 0.47 mL" in run(aviary, "ask", "pepper", "95").stdout
