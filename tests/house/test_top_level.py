"""The top level of the project holds what a stranger looks for, and nothing else."""

from __future__ import annotations

import subprocess
from pathlib import Path

ROOT = Path(__file__).parents[2]

TOP_LEVEL = {
    *("README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"),
    *("assistant", "grammar", "tests", "fixtures"),
}


def _tracked() -> set[str]:
    done = subprocess.run(
        ["git", "-c", f"safe.directory={ROOT}", "ls-files", "-z"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return {name for name in done.stdout.split("\0") if name}


def test_the_top_level_is_exactly_the_agreed_one():
    tops = {name.split("/")[0] for name in _tracked()}
    assert {name for name in tops if not name.startswith(".")} == TOP_LEVEL


def test_no_tracked_name_is_a_generated_one():
    generated = {"__pycache__", "dist", "build", "demo-home", ".venv", ".venv-test"}
    assert [name for name in _tracked() if generated & set(name.split("/"))] == []
