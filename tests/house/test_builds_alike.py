"""Wheel and source archive come out the same from any folder, at any time, by anybody."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
PARTS = ("assistant", "grammar", "fixtures", "tests", ".ci")
FILES = ("README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", ".gitignore")


def checkout(folder: Path, when: int, mask: int) -> Path:
    """A copy of what is built from, with other times and permissions."""
    place = folder / f"checkout-{when}"
    for part in PARTS:
        shutil.copytree(ROOT / part, place / part, ignore=shutil.ignore_patterns("__pycache__"))
    for name in FILES:
        shutil.copy(ROOT / name, place / name)
    for path in place.rglob("*"):
        runs = path.is_dir() or os.access(path, os.X_OK)
        path.chmod((0o777 if runs else 0o666) & ~mask)
        os.utime(path, (when, when))
    return place


def digests(place: Path, out: Path) -> dict[str, str]:
    """The SHA-256 of each file that is built there."""
    command = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(out), str(place)]
    kept = {name: value for name, value in os.environ.items() if name != "SOURCE_DATE_EPOCH"}
    subprocess.run(command, check=True, capture_output=True, env=kept)
    return {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in out.iterdir()}


def test_two_folders_and_two_dates_build_the_same_bytes(tmp_path: Path):
    first = digests(checkout(tmp_path, 1_000_000_000, 0o022), tmp_path / "out")
    deeper = tmp_path / "elsewhere" / "deeper"
    second = digests(checkout(deeper, 1_700_000_000, 0o077), deeper / "out")

    assert sorted(Path(name).suffix for name in first) == [".gz", ".whl"]
    assert first == second
