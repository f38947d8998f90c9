"""A virtual sound card for the tests of what is heard and played, and scripts that use it.

PortAudio reads its devices when it is first loaded, so whatever uses it runs in a process of its
own, in the environment of the sound server.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
SERVER = HERE.parent / "sound_server.py"
ROOT = HERE.parents[2]

Stage = Callable[..., Any]


def _serve() -> Iterator[dict[str, str]]:
    with subprocess.Popen(
        [sys.executable, str(SERVER)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        settings = json.loads(server.stdout.readline())
        yield {**os.environ, **settings, "PYTHONPATH": str(ROOT)}
        assert server.stdin is not None
        server.stdin.close()
        assert server.wait(30) == 0


@pytest.fixture(scope="session")
def sound_card() -> Iterator[dict[str, str]]:
    """The environment of a virtual sound card that lasts as long as the tests."""
    yield from _serve()


@pytest.fixture
def own_sound_card() -> Iterator[dict[str, str]]:
    """One more, to be broken."""
    yield from _serve()


@pytest.fixture
def stage() -> Stage:
    """Run a scene of stage.py in an environment and return what it printed as JSON."""

    def run(environment: dict[str, str], scene: str, *arguments: object) -> Any:  # noqa: ANN401 - JSON is any value
        command = [sys.executable, str(HERE / "stage.py"), scene, *map(str, arguments)]
        done = subprocess.run(
            command, env=environment, capture_output=True, text=True, timeout=120, check=False
        )
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return run
