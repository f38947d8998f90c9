"""`dosewren screen` in a real terminal, beside a round that is typed, ended and killed."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.adapters.screen.segment_reading import read_digits
from tests.end_to_end.terminal_scene import Terminal
from tests.end_to_end.test_joined_round import run

SMALL = (40, 15)


@pytest.fixture
def aviary(home: Path) -> Path:
    assert run(home, "setup", "--demo").returncode == 0
    return home


@pytest.fixture
def scene(aviary: Path, tmp_path: Path) -> Iterator[tuple[Terminal, Terminal]]:
    """A small screen that waits, and a chat that has begun."""
    dosewren = [sys.executable, "-m", "assistant"]
    screen = Terminal(tmp_path / "screen", [*dosewren, "screen", "--home", str(aviary)], SMALL)
    screen.wait_for("No round is open.")
    chat = Terminal(tmp_path / "chat", [*dosewren, "--home", str(aviary)])
    screen.wait_for("Is that right?")
    chat.type("yes", "Enter")
    screen.wait_for("Ready.")
    yield screen, chat
    chat.close()
    screen.close()


def test_the_dose_comes_in_large_digits_and_goes_with_its_end(scene: tuple[Terminal, Terminal]):
    screen, chat = scene
    chat.type("pepper 95", "Enter")
    shown = screen.wait_for("“pepper 95”")
    assert read_digits(shown.splitlines()) == "0.47"
    assert "Pepper, Cockatiel, 95 grams" in shown
    assert "first 0.68" in shown
    chat.type("given", "Enter")
    shown = screen.wait_for("1 given")
    assert "█" not in shown
    chat.type("budgie 31", "Enter")
    shown = screen.wait_for("Needle full: draw to 0.15 only.")
    assert read_digits(shown.splitlines()) == "0.15"


def test_a_killed_round_leaves_no_dose_on_the_screen(
    aviary: Path, scene: tuple[Terminal, Terminal]
):
    screen, chat = scene
    chat.type("pepper 95", "Enter")
    screen.wait_for("“pepper 95”")
    os.kill(json.loads((aviary / "round.lock").read_text("utf-8"))["process"], signal.SIGKILL)
    shown = screen.wait_for("not read")
    assert "█" not in shown
    assert "0.47" not in shown


def test_ctrl_c_gives_the_terminal_back(scene: tuple[Terminal, Terminal]):
    screen, _ = scene
    screen.type("C-c")
    assert "given" not in screen.wait_for("Stopped.")


def test_the_screen_needs_a_terminal(aviary: Path):
    command = [sys.executable, "-m", "assistant", "screen", "--home", str(aviary)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "needs a terminal" in done.stderr
