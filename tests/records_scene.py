"""The command as a shell starts it, on a demo home with a short round in its register."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROUND = (
    *("yes", "cockatiel 95 grams", "given", "Pepper 90 grams", "given"),
    *("galah 330 grams", "not given", "goodbye"),
)

Done = subprocess.CompletedProcess[str]


def run(*words: str, home: Path, typed: str = "") -> Done:
    """Run `dosewren` to its end with these words and what is typed into it."""
    ours = {"PYTHONPATH": str(Path(__file__).parents[1]), "PYTHONUTF8": "1"}
    return subprocess.run(
        [sys.executable, "-m", "assistant", *words],
        env={**os.environ, **ours, "DOSEWREN_HOME": str(home), "COLUMNS": "100"},
        input=typed,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def make_round(home: Path, *phrases: str) -> None:
    """Set the demo up where it is not yet, and type a round."""
    assert run("setup", "--demo", home=home).returncode == 0
    assert run("ask", "-", home=home, typed="\n".join(phrases or ROUND)).returncode == 0
