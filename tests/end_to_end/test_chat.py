"""The text chat in a real terminal: typed by tmux, read off its screen."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

PATIENCE_S = 60


class Terminal:
    """A terminal of 100 by 40 characters, on a tmux server of its own."""

    def __init__(self, folder: Path, command: list[str]) -> None:
        self._server = ["tmux", "-S", str(folder / "tmux"), "-f", "/dev/null"]
        self._run("new-session", "-d", "-x", "100", "-y", "40", shlex.join(command))

    def _run(self, *words: str) -> str:
        env = {**os.environ, "TERM": "xterm-256color", "LC_ALL": "C.UTF-8"}
        done = subprocess.run(
            [*self._server, *words], check=True, capture_output=True, text=True, env=env
        )
        return done.stdout

    def type(self, *keys: str) -> None:
        """Press the keys, as tmux names them."""
        self._run("send-keys", *keys)

    def wait_for(self, text: str) -> str:
        """The screen, once it holds the text."""
        end = time.monotonic() + PATIENCE_S
        screen = ""
        while time.monotonic() < end:
            screen = self._run("capture-pane", "-p")
            if text in screen:
                return screen
            time.sleep(0.1)
        raise AssertionError(f"no {text!r} on:\n{screen}")

    def close(self) -> None:
        """End it, with whatever runs in it."""
        self._run("kill-server")


@pytest.fixture
def chat(tmp_path: Path) -> Iterator[Terminal]:
    home = str(tmp_path / "home")
    dosewren = [sys.executable, "-m", "assistant", "--home", home]
    subprocess.run([*dosewren, "setup", "--demo"], check=True, capture_output=True)
    keep_screen = ["sh", "-c", f"{shlex.join(dosewren)}; sleep 60"]
    terminal = Terminal(tmp_path, keep_screen)
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
    chat.wait_for("Say goodbye to leave.")
    chat.type("goodbye", "Enter")
    chat.wait_for("Goodbye.")
