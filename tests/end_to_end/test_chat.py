"""The text chat in a real terminal: typed by tmux, read off its screen."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.end_to_end.terminal_scene import Terminal


@pytest.fixture
def chat(tmp_path: Path) -> Iterator[Terminal]:
    home = str(tmp_path / "home")
    dosewren = [sys.executable, "-m", "assistant", "--home", home]
    subprocess.run([*dosewren, "setup", "--demo"], check=True, capture_output=True)
    terminal = Terminal(tmp_path / "terminal", dosewren)
    try:
        terminal.wait_for("\n>")
        yield terminal
    finally:
        terminal.close()


def test_a_bird_typed_is_answered_with_a_drawn_syringe(chat: Terminal):
    chat.type("yes", "Enter")
    chat.wait_for("Ready.")
    chat.type("cockatiel 95", "Enter")
    screen = chat.wait_for("^ 0.47")
    assert "Cockatiel, 95 grams." in screen
    assert "---<[===================|" in screen
    assert "v draw to 0.68 mL first" in screen


def test_the_tab_key_completes_a_bird_and_the_up_key_brings_a_line_back(chat: Terminal):
    chat.type("cockati", "Tab")
    chat.wait_for("> cockatiel")
    chat.type(" 95", "Enter")
    chat.wait_for("Is that right?")
    chat.type("Up")
    chat.wait_for("> cockatiel 95")


def test_goodbye_leaves_and_an_interruption_does_not(chat: Terminal):
    chat.type("cockatiel", "C-c")
    chat.wait_for("Type goodbye to leave.")
    chat.type("goodbye", "Enter")
    chat.wait_for("Goodbye.")
