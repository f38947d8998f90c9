"""`dosewren talk` from start to goodbye, where the kernel has no network."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.end_to_end.test_talk import ROOT, SCENE, SERVER, dosewren
from tests.without_network import WAYS


def test_a_talk_needs_no_network(home: Path, tmp_path: Path):
    dosewren(home, "setup", "--demo")
    scene = map(str, (sys.executable, SCENE, home, tmp_path))
    *_, emptiest = WAYS.values()
    done = subprocess.run(
        [sys.executable, str(SERVER), *emptiest, *scene],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "“goodbye”" in done.stdout.splitlines()
