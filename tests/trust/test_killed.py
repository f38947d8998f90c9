"""Killed at any moment, it has kept all that it acknowledged, once, and nothing by halves."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from assistant.adapters.register.rows import KeptDose
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.conversation.entries import DoseEnd, DoseEntry
from tests.trust.keeper_scene import demo_home, kept_all

KILLS, PARTS, BIRDS = 1000, 10, 12
WORK = Path(__file__).with_name("keeper_at_work.py")


class Keepers:
    """A process that forks a keeper whenever it is asked to."""

    def __init__(self, home: Path) -> None:
        command = [sys.executable, str(WORK), str(home), str(BIRDS), "-"]
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def undisturbed(self) -> float:
        """How many seconds a keeper takes that is left alone until its work is done."""
        keeper, began = self._begin(), time.monotonic()
        while self._line() != "done":
            pass
        lasted = time.monotonic() - began
        self._kill(keeper)
        return lasted

    def killed_after(self, seconds: float) -> list[str]:
        """What a keeper was told until it was killed."""
        keeper = self._begin()
        time.sleep(seconds)
        return self._kill(keeper)

    def close(self) -> None:
        """Ask for no further keeper."""
        self._process.communicate()

    def _begin(self) -> int:
        assert self._process.stdin
        self._process.stdin.write("go\n")
        self._process.stdin.flush()
        return int(self._line().removeprefix("pid "))

    def _kill(self, keeper: int) -> list[str]:
        os.kill(keeper, signal.SIGKILL)
        return list(iter(self._line, "over"))

    def _line(self) -> str:
        assert self._process.stdout
        line = self._process.stdout.readline()
        assert line, "the keepers are gone"
        return line.strip()


@pytest.fixture
def keepers(home: Path) -> Iterator[Keepers]:
    demo_home(home)
    started = Keepers(home)
    yield started
    started.close()


def settled(one: KeptDose) -> tuple[DoseEntry, DoseEnd | None]:
    """A dose, and its end where the keeper who asked for it told one.

    One that a kill left open is asked about when the next keeper begins.
    """
    return one.said, None if one.end is DoseEnd.NOT_KNOWN else one.end


@pytest.mark.parametrize("part", range(PARTS))
def test_what_was_acknowledged_before_a_kill_is_there_exactly_once(
    keepers: Keepers, home: Path, part: int
):
    chance = Random(part)  # noqa: S311 - kills, not secrets
    lasts = keepers.undisturbed()
    cut_short = 0
    with SqliteRegister(home / "register.sqlite") as register:
        before = register.doses()
        for _ in range(KILLS // PARTS):
            told = keepers.killed_after(chance.uniform(0, lasts))
            cut_short += "done" not in told
            after = register.doses()
            assert [settled(one) for one in after[: len(before)]] == list(map(settled, before))
            kept_all(told, after[len(before) :])
            before = after
    # most were killed in the middle, or this would show little
    assert cut_short * 2 > KILLS // PARTS
