"""The unit file for a small board, judged by systemd itself."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

UNIT = Path(__file__).parents[2] / "assistant" / "data" / "service" / "dosewren.service"


def verified(unit: Path, home: Path) -> tuple[int, str]:
    """The exit code and the complaints of systemd-analyze; it only warns of a misspelt key."""
    program = home / "dosewren" / ".venv" / "bin" / "dosewren"
    program.parent.mkdir(parents=True)
    program.symlink_to(sys.executable)
    done = subprocess.run(
        ["systemd-analyze", "--user", "verify", str(unit)],
        env={**os.environ, "HOME": str(home), "XDG_RUNTIME_DIR": str(home)},
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stderr


def test_systemd_finds_nothing_wrong_with_the_unit(tmp_path: Path):
    assert verified(UNIT, tmp_path) == (0, "")


def test_a_misspelt_key_and_a_missing_program_would_be_found(tmp_path: Path):
    bad = tmp_path / "dosewren.service"
    text = UNIT.read_text("utf-8").replace("KillSignal=", "KilSignal=")
    bad.write_text(text.replace("%h/dosewren/.venv", "/nowhere"), "utf-8")
    code, complaints = verified(bad, tmp_path)
    assert code == 1
    assert "KilSignal" in complaints
    assert "/nowhere/bin/dosewren is not executable" in complaints


def test_it_starts_the_talk_again_after_a_fault_and_never_uses_the_network():
    settings = dict(
        line.split("=", 1) for line in UNIT.read_text("utf-8").splitlines() if line[:1].isalpha()
    )
    assert settings["ExecStart"].endswith("bin/dosewren talk")
    assert settings["Restart"] == "on-failure"
    assert settings["RestrictAddressFamilies"] == "AF_UNIX"
