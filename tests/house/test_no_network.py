"""Nothing that the keeper does in the aviary reaches for a network."""

from __future__ import annotations

import json
import signal
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

RECORDINGS = sorted((Path(__file__).parents[2] / "fixtures" / "demo").glob("*.wav"))

Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.mark.parametrize("family", ["AF_INET", "AF_INET6"])
def test_the_filter_ends_a_program_that_opens_an_internet_socket(python: Run, family: str):
    attempt = (
        f"import socket\ntry:\n    socket.socket(socket.{family})\nexcept OSError:\n    pass\n"
    )
    assert python("-c", attempt, offline=True).returncode == -signal.SIGSYS


def test_the_filter_sees_through_a_child_process(python: Run):
    child = "import socket; socket.create_connection(('localhost', 9))"
    attempt = (
        f"import subprocess, sys\nsys.exit(subprocess.call([sys.executable, '-c', {child!r}]))"
    )
    assert python("-c", attempt, offline=True).returncode != 0


def test_the_filter_leaves_local_sockets_alone(python: Run):
    assert (
        python("-c", "import socket; socket.socket(socket.AF_UNIX)", offline=True).returncode == 0
    )


def test_a_typed_round_needs_no_network(dosewren: Run, demo_home: Path):
    typed = "cockatiel 95 g\nyes\ngiven"
    done = dosewren("ask", "--json", "-", home=demo_home, offline=True, typed=typed)
    assert done.returncode == 0, done.stderr
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert [(line["status"], line["intent"]) for line in lines] == [
        ("asked", "dose"),
        ("answered", "yes"),
        ("command", "given"),
    ]


def test_the_spoken_demonstration_needs_no_network(dosewren: Run, demo_home: Path, tmp_path: Path):
    words = ["hear", "--json", "--speak", str(tmp_path), *map(str, RECORDINGS)]
    done = dosewren(*words, home=demo_home, offline=True)
    assert done.returncode == 0, done.stderr
    statuses = [json.loads(line)["status"] for line in done.stdout.splitlines()]
    assert len(statuses) == len(RECORDINGS)
    assert "answered" in statuses
