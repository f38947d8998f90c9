"""The log of runs: one line of JSON for each, with the commit and the settings it was made with."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from assistant.errors import UsageProblem

_WATCHED = ("assistant", "grammar")


@dataclass(frozen=True, slots=True)
class Commit:
    """The commit that runs, and whether files beside it differ; unknown outside a checkout."""

    name: str
    changed: bool

    @property
    def shown(self) -> str:
        """The commit as a log writes it."""
        return f"{self.name} with changes" if self.changed else self.name


def commit_here(folder: Path) -> Commit:
    """What is checked out where the program lies."""
    name = _git(folder, "rev-parse", "--short=12", "HEAD")
    changed = _git(folder, "status", "--porcelain", "--", *_WATCHED)
    return Commit(name or "unknown", bool(changed))


def _git(folder: Path, *arguments: str) -> str:
    try:
        done = subprocess.run(  # noqa: S603 - git with fixed arguments, no shell
            ["git", "-C", str(folder), *arguments],  # noqa: S607 - whichever git is installed
            capture_output=True,
            text=True,
            check=True,
        )
    except (OSError, subprocess.CalledProcessError):
        return ""
    return done.stdout.strip()


def must_be_committed(commit: Commit) -> None:
    """Raises UsageProblem where what is measured could not be found again."""
    if commit.changed:
        raise UsageProblem(
            "There are changes that are not committed, and the test part measures a commit.",
            "Commit them first, or say --uncommitted: the log will say so.",
        )


def log_run(path: Path, when: datetime, commit: Commit, facts: Mapping[str, object]) -> None:
    """Add a line about a run; raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    line = {"at": when.isoformat(timespec="seconds"), "commit": commit.shown, **facts}
    with path.open("a", encoding="utf-8") as log:
        log.write(json.dumps(line, ensure_ascii=False) + "\n")
