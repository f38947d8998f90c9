"""Nothing that the keeper does in the aviary reaches for a network.

Shown twice: under a filter that ends a program which opens an internet socket, so that no attempt
can go unseen, and in a network namespace of its own, in which the kernel has no network at all.  A
talk, which takes real time, is in tests/end_to_end/test_talk_without_network.py.
"""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from tests.end_to_end.terminal_scene import Terminal
from tests.without_network import FORBIDDEN, WAYS

RECORDINGS = sorted((Path(__file__).parents[2] / "fixtures" / "demo").glob("*.wav"))

Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="module", params=list(WAYS.values()), ids=list(WAYS))
def inside(request: pytest.FixtureRequest) -> Sequence[str]:
    """Words before a command that take the network from it."""
    words: Sequence[str] = request.param
    return words


@pytest.fixture
def keeper(home: Path, dosewren: Run) -> Path:
    """A home of the test's own, in which no round was held yet."""
    done = dosewren("setup", "--demo", home=home)
    assert done.returncode == 0, done.stdout + done.stderr
    return home


@pytest.mark.parametrize("family", ["AF_INET", "AF_INET6"])
def test_the_filter_ends_a_program_that_opens_an_internet_socket(python: Run, family: str):
    attempt = (
        f"import socket\ntry:\n    socket.socket(socket.{family})\nexcept OSError:\n    pass\n"
    )
    assert python("-c", attempt, inside=FORBIDDEN).returncode == -signal.SIGSYS


def test_the_filter_sees_through_a_child_process(python: Run):
    child = "import socket; socket.create_connection(('localhost', 9))"
    attempt = (
        f"import subprocess, sys\nsys.exit(subprocess.call([sys.executable, '-c', {child!r}]))"
    )
    assert python("-c", attempt, inside=FORBIDDEN).returncode != 0


def test_the_filter_leaves_local_sockets_alone(python: Run):
    opened = "import socket; socket.socket(socket.AF_UNIX)"
    assert python("-c", opened, inside=FORBIDDEN).returncode == 0


def test_not_even_this_machine_is_reached(python: Run, inside: Sequence[str]):
    attempt = (
        "import errno, socket\n"
        "for host in ('127.0.0.1', '192.0.2.1'):\n"
        "    print(errno.errorcode[socket.socket().connect_ex((host, 9))])\n"
    )
    done = python("-c", attempt, inside=inside)
    reached = [] if inside is FORBIDDEN else ["ENETUNREACH", "ENETUNREACH"]
    assert done.stdout.splitlines() == reached, done.stderr


def test_a_typed_round_needs_no_network(dosewren: Run, keeper: Path, inside: Sequence[str]):
    typed = "cockatiel 95 g\nyes\ngiven"
    done = dosewren("ask", "--json", "-", home=keeper, inside=inside, typed=typed)
    assert done.returncode == 0, done.stderr
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert [(line["status"], line["intent"]) for line in lines] == [
        ("asked", "dose"),
        ("answered", "yes"),
        ("command", "given"),
    ]


def test_the_spoken_demonstration_needs_no_network(
    dosewren: Run, keeper: Path, inside: Sequence[str], tmp_path: Path
):
    words = ["hear", "--json", "--speak", str(tmp_path), *map(str, RECORDINGS)]
    done = dosewren(*words, home=keeper, inside=inside)
    assert done.returncode == 0, done.stderr
    statuses = [json.loads(line)["status"] for line in done.stdout.splitlines()]
    assert len(statuses) == len(RECORDINGS)
    assert "answered" in statuses


def test_a_chat_needs_no_network(keeper: Path, inside: Sequence[str], tmp_path: Path):
    command = [*inside, sys.executable, "-m", "assistant", "--home", str(keeper)]
    chat = Terminal(tmp_path / "terminal", command)
    try:
        chat.wait_for("\n>")
        chat.type("yes", "Enter")
        chat.wait_for("Ready.")
        chat.type("budgerigar 31", "Enter")
        chat.wait_for("Budgerigar, 31 grams")
        chat.type("given", "Enter")
        chat.wait_for("Given: Budgerigar")
        chat.type("goodbye", "Enter")
        chat.wait_for("Goodbye.")
    finally:
        chat.close()
