"""A real terminal, on a tmux server of its own: typed into, and read off its screen."""

from __future__ import annotations

import os
import shlex
import subprocess
import time
from pathlib import Path

PATIENCE_S = 60


class Terminal:
    """A terminal of 100 by 40 characters, or of another size, in which a command runs.

    What it shows stays when the command has ended.
    """

    def __init__(self, folder: Path, command: list[str], size: tuple[int, int] = (100, 40)) -> None:
        folder.mkdir(exist_ok=True)
        self._server = ["tmux", "-S", str(folder / "tmux"), "-f", "/dev/null"]
        width, height = map(str, size)
        # Ctrl-C reaches the shell too, which would end and take the terminal with it
        keep = shlex.join(["sh", "-c", f"trap : INT; {shlex.join(command)}; sleep 600"])
        self._run("new-session", "-d", "-x", width, "-y", height, keep)

    def _run(self, *words: str) -> str:
        env = {**os.environ, "TERM": "xterm-256color", "LC_ALL": "C.UTF-8"}
        done = subprocess.run(
            [*self._server, *words], check=True, capture_output=True, text=True, env=env
        )
        return done.stdout

    def type(self, *keys: str) -> None:
        """Press the keys, as tmux names them."""
        self._run("send-keys", *keys)

    def screen(self) -> str:
        """All that is on it now."""
        return self._run("capture-pane", "-p")

    def wait_for(self, text: str) -> str:
        """The screen, once it holds the text."""
        end = time.monotonic() + PATIENCE_S
        screen = ""
        while time.monotonic() < end:
            screen = self.screen()
            if text in screen:
                return screen
            time.sleep(0.1)
        raise AssertionError(f"no {text!r} on:\n{screen}")

    def close(self) -> None:
        """End it, with whatever runs in it."""
        self._run("kill-server")
