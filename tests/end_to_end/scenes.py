"""What the tests of whole commands share: the command, and scenes between virtual sound devices."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).parents[2]
_SERVER = ROOT / "tests" / "adapters" / "sound_server.py"


def dosewren(home: Path, *words: str) -> str:
    """What the command shows in this home; it must succeed."""
    command = [sys.executable, "-m", "assistant", *words, "--home", str(home)]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def play(
    scene: str, *arguments: object, within: Sequence[str] = (), limit_s: float = 1800
) -> subprocess.CompletedProcess[str]:
    """Run a module of this folder between virtual sound devices, `within` another command."""
    module = str(ROOT / "tests" / "end_to_end" / f"{scene}.py")
    return subprocess.run(
        [sys.executable, str(_SERVER), *within, sys.executable, module, *map(str, arguments)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=limit_s,
        check=False,
    )
