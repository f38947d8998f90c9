"""What a keeper was told, held against what the register has kept."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from assistant.adapters.register.rows import KeptDose
from assistant.conversation.entries import DoseEnd


def demo_home(home: Path) -> None:
    """The invented keeper's home."""
    command = [sys.executable, "-m", "assistant", "setup", "--demo", "--home", str(home)]
    subprocess.run(command, check=True, capture_output=True)


def kept_all(told: Sequence[str], doses: Sequence[KeptDose]) -> None:
    """Fail unless all that was acknowledged is there exactly once, and at most one thing more.

    The one more is what was written when nobody could be told of it any more.
    """
    said = [line.removeprefix("said ") for line in told if line.startswith("said ")]
    given = [line.removeprefix("given ") for line in told if line.startswith("given ")]
    kept = [one.said.dose_id for one in doses]
    ended = [one.said.dose_id for one in doses if one.end is DoseEnd.GIVEN]
    assert kept[: len(said)] == said
    assert ended[: len(given)] == given
    assert len(kept) + len(ended) - len(said) - len(given) in {0, 1}
    assert len(kept) - len(ended) in {0, 1}
