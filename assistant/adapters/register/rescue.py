"""Reading what can be read of a damaged register into a new one; the damaged file is kept aside."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from assistant.adapters.register.carving import Record, records
from assistant.adapters.register.file import open_for_writing, problem_with
from assistant.adapters.register.rows import TABLES, insertion
from assistant.adapters.register.seal import TABLE as SEALS
from assistant.adapters.register.seal import Cell, digest, seal

_BESIDE: Final = ("", "-wal", "-shm", "-journal")
"""What SQLite keeps beside the file, as endings of its name."""

_STRIDE: Final = 256
_MOST_ROWS: Final = 10_000_000
"""A row's number above this is damage, not a row."""


@dataclass(frozen=True, slots=True)
class Rescued:
    """What became of a damaged register: rows by table, and where the damaged file is kept.

    `read` are in the new register; `lost` could not be read, or had changed since they were
    written; `unsealed` are among those read, and have no seal to hold them against.
    """

    read: Mapping[str, int]
    lost: Mapping[str, int]
    unsealed: int
    aside: Path


def damage(path: Path) -> str | None:
    """What is damaged in the register's file, in SQLite's words; None where nothing is."""
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as opened:
            (found,) = opened.execute("PRAGMA integrity_check(1)").fetchone()
            changed = next(_changed(opened), None)
    except sqlite3.DatabaseError as error:
        return str(error)
    return changed if found == "ok" else str(found)


def rescue(path: Path, at: datetime, patience_s: float) -> Rescued:
    """Make a new register of what can be read of the damaged one; raises RegisterProblem.

    The damaged file goes to a folder beside it first, so that whatever happens then, it is kept.
    """
    aside = path.parent / f"damaged-{at:%Y-%m-%d-%H%M%S}"
    made = path.with_name(f"{path.name}.rescued")
    try:
        aside.mkdir()
        for ending in _BESIDE:
            with suppress(FileNotFoundError):
                path.with_name(path.name + ending).rename(aside / (path.name + ending))
        made.unlink(missing_ok=True)
        with TemporaryDirectory() as folder, closing(open_for_writing(made, patience_s)) as new:
            # SQLite writes its log back into what it opens: the file kept aside stays as it is
            copy = shutil.copytree(aside, Path(folder) / "copy") / path.name
            read, lost, unsealed = _copied(_Found(copy, new), new)
        made.rename(path)
    except (OSError, sqlite3.Error) as error:
        raise problem_with(path, error) from error
    return Rescued(read, lost, unsealed, aside)


class _Found:
    """What a damaged file still tells: seals and rows from its bare pages, older rows by asking.

    A row without a seal is believed only where it is older than every seal of its table.
    """

    def __init__(self, damaged: Path, new: sqlite3.Connection) -> None:
        self._columns = {table: _columns(new, table) for table in (*TABLES.values(), SEALS)}
        carved = list(records(damaged, damaged.with_name(f"{damaged.name}-wal")))
        self._seals = dict(self._seals_in(carved))
        self._rows = {
            (table, number): row
            for table in TABLES.values()
            for number, row in self._named(carved, table)
            if self.seal_of(table, number) == digest(row)
        }
        with closing(sqlite3.connect(damaged)) as old:
            old.row_factory = sqlite3.Row
            for table in TABLES.values():
                self._ask(old, table)

    def seal_of(self, table: str, number: int) -> str | None:
        """The seal that this row was given, where one was found."""
        return self._seals.get((table, number))

    def rows(self, table: str) -> Iterator[dict[str, Cell] | None]:
        """Every row of a table in its order, None for one that is lost."""
        last = max((number for of, number in self._rows if of == table), default=0)
        # a seal far beyond is a damaged one; a few rows at the end may be lost with their seals
        beyond = (number for of, number in self._seals if of == table and number <= last + _STRIDE)
        for number in range(1, max(last, *beyond, 0) + 1):
            yield self._rows.get((table, number))

    def _seals_in(self, carved: Sequence[Record]) -> Iterator[tuple[tuple[str, int], str]]:
        for _, row in self._named(carved, SEALS):
            match row:
                case {"table_name": str(table), "row_id": int(number), "digest": str(text)}:
                    if table in self._columns and 0 < number < _MOST_ROWS:
                        yield (table, number), text

    def _named(self, carved: Sequence[Record], table: str) -> Iterator[tuple[int, dict[str, Cell]]]:
        names = self._columns[table]
        for number, values in carved:
            if len(values) == len(names):
                yield number, {**dict(zip(names, values, strict=True)), "id": number}

    def _ask(self, old: sqlite3.Connection, table: str) -> None:
        """Take in the rows without a seal, from a time before there were seals."""
        sealed = (number for of, number in self._seals if of == table)
        first_sealed = min(sealed, default=_MOST_ROWS)
        asked = _asked(old, f"SELECT max(id) FROM {table}", ())  # noqa: S608 - our own names
        last = int(asked[0][0] or 0) if asked else 0
        for first in range(1, min(last, first_sealed - 1) + 1, _STRIDE):
            for row in _stride(old, table, first):
                if row["id"] < first_sealed:
                    self._rows.setdefault((table, row["id"]), dict(row))


def _columns(new: sqlite3.Connection, table: str) -> tuple[str, ...]:
    return tuple(row["name"] for row in new.execute(f"PRAGMA table_info({table})"))


def _copied(found: _Found, new: sqlite3.Connection) -> tuple[dict[str, int], dict[str, int], int]:
    read, lost, unsealed = dict.fromkeys(TABLES.values(), 0), dict.fromkeys(TABLES.values(), 0), 0
    new.execute("BEGIN")
    for table in TABLES.values():
        for number, row in enumerate(found.rows(table), start=1):
            if row is None or not _add(new, table, row):
                lost[table] += 1
                continue
            read[table] += 1
            unsealed += found.seal_of(table, number) is None
    new.execute("COMMIT")
    return read, lost, unsealed


def _stride(old: sqlite3.Connection, table: str, first: int) -> list[sqlite3.Row]:
    """A stride of rows at once, or one by one where that fails."""
    query = f"SELECT * FROM {table} WHERE id BETWEEN ? AND ?"  # noqa: S608 - our own names
    at_once = _asked(old, query, (first, first + _STRIDE - 1))
    if at_once is not None:
        return at_once
    one_by_one = (_asked(old, query, (n, n)) for n in range(first, first + _STRIDE))
    return [row for rows in one_by_one for row in rows or ()]


def _asked(
    old: sqlite3.Connection, query: str, values: tuple[int, ...]
) -> list[sqlite3.Row] | None:
    try:
        return old.execute(query, values).fetchall()
    except sqlite3.DatabaseError:
        return None


def _add(new: sqlite3.Connection, table: str, row: dict[str, Cell]) -> bool:
    """Whether the new register takes the row: an end needs its dose, a column its form."""
    try:
        new.execute(*insertion(table, row))
        seal(new, table, int(row["id"] or 0), row)
    except (sqlite3.Error, UnicodeError):
        return False
    return True


def _sealed(old: sqlite3.Connection, table: str, row: Mapping[str, Cell]) -> bool | None:
    """Whether the row is as it was when it was sealed; None where it has no seal to read."""
    query = "SELECT digest FROM seal WHERE table_name = ? AND row_id = ?"
    try:
        found = old.execute(query, (table, row["id"])).fetchone()
    except sqlite3.DatabaseError:
        return None
    return None if found is None else found[0] == digest(row)


def _changed(opened: sqlite3.Connection) -> Iterator[str]:
    """The rows that are not as they were written, in words."""
    opened.row_factory = sqlite3.Row
    for table in TABLES.values():
        for row in opened.execute(f"SELECT * FROM {table}"):  # noqa: S608 - our own names
            if _sealed(opened, table, dict(row)) is False:
                yield f"row {row['id']} of {table} is not as it was written"
