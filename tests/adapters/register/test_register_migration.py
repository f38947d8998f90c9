"""A register that an older dosewren wrote, opened by this one: nothing is lost, all is guarded."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.register.file import GUARDS
from assistant.adapters.register.sqlite import SqliteRegister

if TYPE_CHECKING:
    from tests.adapters.conftest import Book

OLD = Path(__file__).parents[3] / "fixtures" / "registers" / "version-1.sqlite"
TABLES = ("exchange", "dose", "dose_end", "note")


@pytest.fixture
def older(tmp_path: Path) -> Path:
    """Give a copy of the older register."""
    return Path(shutil.copy(OLD, tmp_path / "register.sqlite"))


def contents(path: Path) -> dict[str, list[object]]:
    plain = sqlite3.connect(path)
    rows = {table: plain.execute(f"SELECT * FROM {table}").fetchall() for table in TABLES}  # noqa: S608 - our own names
    plain.close()
    return rows


def triggers(path: Path) -> set[str]:
    plain = sqlite3.connect(path)
    names = {
        name for (name,) in plain.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
    }
    plain.close()
    return names


def test_the_older_register_is_of_version_1(older: Path):
    plain = sqlite3.connect(older)
    assert plain.execute("PRAGMA user_version").fetchone() == (1,)
    plain.close()
    assert {table: len(rows) for table, rows in contents(older).items()} == {
        "exchange": 26, "dose": 9, "dose_end": 8, "note": 5,
    }  # fmt: skip


def test_no_row_is_lost_or_changed(older: Path):
    before = contents(older)
    with SqliteRegister(older) as register:
        register.check()
    assert contents(older) == before


def test_every_guard_is_there_afterwards(older: Path):
    assert triggers(older) < GUARDS | {"dose_end_of_a_dose"}
    with SqliteRegister(older) as register:
        register.check()
    assert triggers(older) >= GUARDS


def test_it_answers_as_before_and_takes_stock(book: Book, older: Path):
    with SqliteRegister(older) as register:
        assert [kept.said.species for kept in register.pending()] == ["Galah", "Galah"]
        assert {key: str(kept.end) for key, kept in register.last_doses().items()} == {
            ("Pepper", "Marigold Demo"): "part_given",
            ("Pepper", "Thistle Demo"): "given",
        }
        register.append([book.batch(), book.move()])
        assert [kept.left_ml for kept in register.books()] == [50]


def test_a_migration_that_cannot_be_finished_changes_nothing(older: Path):
    before = contents(older)
    plain = sqlite3.connect(older)
    plain.execute("CREATE TABLE stock_move (mine TEXT)")
    plain.close()
    with pytest.raises(Exception, match="stock_move"), SqliteRegister(older) as register:
        register.check()
    plain = sqlite3.connect(older)
    assert plain.execute("PRAGMA user_version").fetchone() == (1,)
    plain.close()
    assert contents(older) == before
