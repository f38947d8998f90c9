"""The power goes at each write and each sync: what was acknowledged is there when it is back."""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path
from random import Random

import pytest

from assistant.adapters.register.sqlite import SqliteRegister
from tests.trust.keeper_scene import demo_home, kept_all
from tests.trust.power import Act, Disk, after, states, traced

BIRDS, DAYS = 3, 2
WORK = Path(__file__).with_name("keeper_at_work.py")


@pytest.fixture(scope="module")
def days(tmp_path_factory: pytest.TempPathFactory) -> list[list[Act]]:
    """What two days' work did to the register: the first makes it, both close it in the end."""
    folder = tmp_path_factory.mktemp("power")
    home = folder / "home"
    demo_home(home)
    command = [sys.executable, str(WORK), str(home), str(BIRDS)]
    return [traced(command, home, folder / f"trace-{day}") for day in range(DAYS)]


def blackouts(days: Sequence[Sequence[Act]]) -> Iterator[tuple[Disk, list[str]]]:
    """Each state of the disk that the power may leave, with what was acknowledged before."""
    chance = Random(0)  # noqa: S311 - blackouts, not secrets
    disk: Disk = {}
    told: list[str] = []
    for day in days:
        lines = list(told)
        for place, act in enumerate(day):
            if act.kind == "told":
                told.append(act.data.decode().strip())
                continue
            for state in states(disk, day[: place + 1], chance):
                yield state, list(told)
        assert len(told) == len(lines) + 2 * BIRDS + 1
        disk = after(disk, day)


def test_the_trace_shows_writes_syncs_and_a_log_written_back(days: list[list[Act]]):
    for day in days:
        kinds = {(act.kind, act.name) for act in day}
        assert ("synced", "register.sqlite-wal") in kinds
        assert ("wrote", "register.sqlite") in kinds
        assert ("removed", "register.sqlite-wal") in kinds


def test_what_was_acknowledged_survives_a_blackout_at_any_write(
    days: list[list[Act]], tmp_path: Path
):
    number = 0
    for number, (disk, told) in enumerate(blackouts(days)):
        home = tmp_path / str(number)
        home.mkdir()
        for name, data in disk.items():
            (home / name).write_bytes(data)
        with SqliteRegister(home / "register.sqlite") as register:
            kept_all(told, register.doses())
            register.check()
        with closing(sqlite3.connect(home / "register.sqlite")) as opened:
            assert opened.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert number > 1000


def test_a_register_that_did_not_sync_would_be_found_out(days: list[list[Act]], tmp_path: Path):
    lying = [[act for act in day if act.kind != "synced"] for day in days]
    lost = 0
    for number, (disk, told) in enumerate(blackouts(lying)):
        home = tmp_path / str(number)
        home.mkdir()
        for name, data in disk.items():
            (home / name).write_bytes(data)
        try:
            with SqliteRegister(home / "register.sqlite") as register:
                kept_all(told, register.doses())
        except Exception:  # noqa: BLE001 - however it shows, it shows
            lost += 1
    assert lost > 100
