"""`dosewren talk` from start to goodbye, where the kernel has no network."""

from __future__ import annotations

from pathlib import Path

from tests.end_to_end.scenes import dosewren, play
from tests.without_network import WAYS


def test_a_talk_needs_no_network(home: Path, tmp_path: Path):
    dosewren(home, "setup", "--demo")
    *_, emptiest = WAYS.values()
    done = play("talk_round", home, tmp_path, within=emptiest, limit_s=600)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "“goodbye”" in done.stdout.splitlines()
