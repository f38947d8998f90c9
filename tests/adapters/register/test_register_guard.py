"""Append only is the database's own rule: tried here from plain programs, not through our code."""

from __future__ import annotations

import re
import sqlite3
import subprocess
import sys
from importlib.resources import files
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.register.file import GUARDS
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.errors import RegisterProblem

if TYPE_CHECKING:
    from tests.adapters.conftest import Book

TABLES = (
    *("exchange", "dose", "dose_end", "note", "batch", "stock_move"),
    *("treatment", "correction", "droppings", "seal"),
)
COLUMN = {
    "exchange": "reply", "dose": "volume_ml", "dose_end": "ending", "note": "text",
    "batch": "product_ml", "stock_move": "change_ml",
    "treatment": "keeper", "correction": "note", "droppings": "found",
    "seal": "digest",
}  # fmt: skip
ATTACKS = {
    "change": "UPDATE {table} SET {column} = '9'",
    "change or ignore": "UPDATE OR IGNORE {table} SET {column} = '9'",
    "renumber": "UPDATE {table} SET id = id + 10",
    "delete": "DELETE FROM {table}",
    "delete one": "DELETE FROM {table} WHERE id = 1",
    "replace": "REPLACE INTO {table} SELECT * FROM {table}",
    "insert or replace": "INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
    "insert or ignore": "INSERT OR IGNORE INTO {table} SELECT * FROM {table}",
    "upsert": "INSERT INTO {table} SELECT * FROM {table} WHERE true"
    " ON CONFLICT (id) DO UPDATE SET {column} = '9'",
}


@pytest.fixture
def written(book: Book, register: SqliteRegister) -> SqliteRegister:
    register.append([book.exchange(), book.dose("d1"), book.end("d1"), book.note()])
    register.append([book.batch(), book.move()])
    register.append([book.treatment("d1"), book.correction("d1"), book.droppings()])
    register.close()
    return register


def contents(register: SqliteRegister) -> list[object]:
    plain = sqlite3.connect(register.path)
    rows = [plain.execute(f"SELECT * FROM {table}").fetchall() for table in TABLES]  # noqa: S608 - our own names
    plain.close()
    return list(rows)


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize("attack", ATTACKS)
def test_a_plain_connection_can_only_add(written: SqliteRegister, table: str, attack: str):
    before = contents(written)
    plain = sqlite3.connect(written.path, isolation_level=None)
    assert plain.execute("PRAGMA recursive_triggers").fetchone() == (0,)

    with pytest.raises(sqlite3.IntegrityError, match="append only"):
        plain.execute(ATTACKS[attack].format(table=table, column=COLUMN[table]))

    plain.close()
    assert contents(written) == before


def test_a_dose_said_again_under_the_same_id_does_not_replace_the_first(written: SqliteRegister):
    plain = sqlite3.connect(written.path, isolation_level=None)
    columns = [row[1] for row in plain.execute("PRAGMA table_info(dose)") if row[1] != "id"]
    listed = ", ".join(columns)

    with pytest.raises(sqlite3.IntegrityError, match="append only"):
        plain.execute(f"REPLACE INTO dose ({listed}) SELECT {listed} FROM dose")  # noqa: S608 - our own names

    plain.close()


def test_another_program_is_stopped_too(written: SqliteRegister):
    before = contents(written)
    script = "import sqlite3, sys; sqlite3.connect(sys.argv[1]).execute('DELETE FROM dose')"

    done = subprocess.run(
        [sys.executable, "-c", script, written.path], capture_output=True, text=True, check=False
    )

    assert done.returncode != 0
    assert "append only" in done.stderr
    assert contents(written) == before


def test_an_end_needs_its_dose_even_where_foreign_keys_are_off(written: SqliteRegister):
    plain = sqlite3.connect(written.path, isolation_level=None)

    with pytest.raises(sqlite3.IntegrityError, match="no such dose"):
        plain.execute(
            "INSERT INTO dose_end (at, round_id, dose_id, ending, note)"
            " VALUES ('2026-03-01T08:30:00+10:00', 'r1', 'nobody', 'given', '')"
        )

    plain.close()


def test_the_schema_guards_every_table_it_makes():
    script = "".join(
        step.read_text("utf-8")
        for step in (files("assistant") / "data" / "register").iterdir()
        if step.name.endswith(".sql")
    )
    made = set(re.findall(r"CREATE TABLE (\w+)", script))

    assert made == set(TABLES)
    assert {guard.rsplit("_no_", 1)[0] for guard in GUARDS} == made


def test_a_register_that_lost_a_guard_is_not_written(book: Book, written: SqliteRegister):
    plain = sqlite3.connect(written.path)
    plain.execute("DROP TRIGGER dose_no_delete")
    plain.close()

    with pytest.raises(RegisterProblem, match="dose_no_delete"):
        written.append([book.note()])
