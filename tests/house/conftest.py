"""What the house tests share: our command, started as a shell would start it."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# The two lines that pip writes into the `dosewren` script.
START = "import sys; from assistant.cli import main; sys.exit(main())"

Done = subprocess.CompletedProcess[str]
Run = Callable[..., Done]


def _environment(home: Path | None) -> dict[str, str]:
    """This process's environment, with our package importable and no colours or odd widths."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    ours = {"PYTHONPATH": str(ROOT), "PYTHONUTF8": "1", "LC_ALL": "C.UTF-8"}
    plain = {"NO_COLOR": "1", "COLUMNS": "100"}
    return {**kept, **ours, **plain, **({"DOSEWREN_HOME": str(home)} if home else {})}


@pytest.fixture(scope="session")
def python() -> Run:
    """Runs Python to its end, from another folder; `inside` what the words given here set up."""

    def run(
        *words: str,
        home: Path | None = None,
        folder: Path = Path("/"),
        typed: str = "",
        inside: Sequence[str] = (),
    ) -> Done:
        return subprocess.run(
            [*inside, sys.executable, *words],
            cwd=folder,
            env=_environment(home),
            input=typed,
            capture_output=True,
            text=True,
            check=False,
        )

    return run


@pytest.fixture(scope="session")
def dosewren(python: Run) -> Run:
    """Runs `dosewren` with the words given, as `python` runs Python."""
    return partial(python, "-c", START)


@pytest.fixture(scope="module")
def demo_home(tmp_path_factory: pytest.TempPathFactory, dosewren: Run) -> Path:
    """A home that `dosewren setup --demo` has made."""
    home = tmp_path_factory.mktemp("demo") / "home"
    done = dosewren("setup", "--demo", home=home)
    assert done.returncode == 0, done.stdout + done.stderr
    return home
