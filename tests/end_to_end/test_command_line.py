"""What the command line says of itself, and what a fault looks like to a keeper."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

PLACE = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}

FAULT = """
import click, sys
from assistant import cli

@cli.dosewren.command()
def fault():
    {what}

sys.argv = ["dosewren", "fault"]
cli.main()
"""


def python(*words: str, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *words],
        env={**PLACE, **more},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize(
    "command",
    [(), ("setup",), ("confirm",), ("ask",), ("hear",), ("talk",), ("register",), ("check",)],
)
def test_each_help_tells_the_exit_codes(command: tuple[str, ...]):
    done = python("-m", "assistant", *command, "--help")
    assert done.returncode == 0
    assert "Exit codes: 0 done, 1 a fault of dosewren itself, 2 wrong usage" in done.stdout
    assert "..." not in done.stdout.partition("Commands:")[2]


def test_a_fault_is_told_without_a_traceback():
    done = python("-c", FAULT.format(what="return 1 / 0"))
    assert done.returncode == 1
    assert done.stderr.startswith("dosewren: This is a fault of dosewren itself: ZeroDivisionError")
    assert "Traceback" not in done.stderr


def test_a_fault_can_be_looked_at():
    done = python("-c", FAULT.format(what="return 1 / 0"), DOSEWREN_TRACEBACK="1")
    assert done.returncode == 1
    assert "Traceback" in done.stderr


def test_a_file_that_cannot_be_used_is_named(tmp_path: Path):
    folder = tmp_path / "a folder"
    folder.mkdir()
    done = python("-c", FAULT.format(what=f"open({str(folder)!r}, 'w')"))
    assert done.returncode == 3
    assert done.stderr.startswith(f"dosewren: {folder} cannot be used: Is a directory.")


def test_a_weight_below_zero_is_no_option(tmp_path: Path):
    home = str(tmp_path / "home")
    python("-m", "assistant", "setup", "--demo", "--home", home)
    done = python("-m", "assistant", "ask", "--home", home, "cockatiel", "-5")
    assert done.returncode == 0
    assert "below zero" in done.stdout
    assert python("-m", "assistant", "ask", "--home", home, "-x").returncode == 2
