"""What the benches share that run our programs: their processor time, and virtual sound devices."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import assistant

CHECKOUT = Path(assistant.__file__).parents[1]
_SERVER = CHECKOUT / "tests" / "adapters" / "sound_server.py"


def children_s() -> float:
    """The processor time of the children that have ended, in seconds."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def has_sound() -> bool:
    """Whether this process runs between the virtual sound devices."""
    return "SOUND_SERVER" in os.environ


def can_have_sound() -> bool:
    """Whether the virtual sound devices are at hand: only a checkout brings them."""
    return _SERVER.is_file()


def with_sound(module: str, words: Sequence[str]) -> int:
    """Run a module once more between the virtual sound devices; its exit code."""
    again = (sys.executable, str(_SERVER), sys.executable, "-m", module, *words)
    return subprocess.run(again, check=False).returncode  # noqa: S603 - our own program
