"""Ways to take the network from a program: words to put before its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

FORBIDDEN = (sys.executable, str(Path(__file__).parent / "house" / "no_internet.py"))
"""Ends it when it opens an internet socket."""

ANOTHER_USER = () if os.geteuid() == 0 else ("--user", "--map-current-user")
EMPTY = ("unshare", *ANOTHER_USER, "--net")
"""A network namespace with nothing in it; even the loopback is down.

Source: unshare(1) and network_namespaces(7) of the Linux manual.
"""


def takes_the_network(words: Sequence[str]) -> bool:
    """Whether the kernel lets this user take the network from a program like that."""
    tried = subprocess.run([*words, "true"], capture_output=True, check=False)
    return tried.returncode == 0


WAYS: Mapping[str, Sequence[str]] = {"forbidden": FORBIDDEN} | (
    {"empty": EMPTY} if takes_the_network(EMPTY) else {}
)
"""In a container without the capability SYS_ADMIN there is only the filter, which is the sharper of
the two; `.ci/offline` says what is missing."""
