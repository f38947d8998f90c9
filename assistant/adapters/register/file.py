"""Opening the register's file: created private, brought up to date, its guards checked."""

from __future__ import annotations

import errno
import os
import sqlite3
import time
from contextlib import contextmanager
from importlib.resources import files
from typing import TYPE_CHECKING, Final

from assistant.adapters.register.rows import TABLES
from assistant.adapters.register.seal import TABLE as SEALS
from assistant.errors import RegisterProblem

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

APPLICATION_ID: Final = 2003985774
"""Marks the file as ours: "wren" in ASCII, set by the first migration."""

GUARDS: Final = frozenset(
    f"{table}_no_{act}"
    for table in (*TABLES.values(), SEALS)
    for act in ("update", "delete", "replace")
)
"""The triggers that make the register append only."""

_PAUSE_S: Final = 0.01


def open_for_writing(path: Path, patience_s: float) -> sqlite3.Connection:
    """Open the register, made or brought up to date if need be; raises RegisterProblem."""
    try:
        _create_private(path)
    except OSError as error:
        raise problem_with(path, error) from error
    with _opening(path, "mode=rw", patience_s) as connection:
        _check_ours(connection, path)
        _use_wal(connection, patience_s)
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA recursive_triggers = ON")
        connection.execute("PRAGMA foreign_keys = ON")
        _migrate(connection)
        _check_guards(connection, path)
        return connection


def open_for_reading(path: Path, patience_s: float) -> sqlite3.Connection:
    """Open a register that cannot be written, say on a read-only disk; raises RegisterProblem."""
    # Without a log beside it the file is complete, and SQLite may read it without making one.
    complete = not path.with_name(f"{path.name}-wal").exists()
    mode = "mode=ro&immutable=1" if complete else "mode=ro"
    with _opening(path, mode, patience_s) as connection:
        _check_ours(connection, path)
        _check_guards(connection, path)
        return connection


@contextmanager
def _opening(path: Path, mode: str, patience_s: float) -> Iterator[sqlite3.Connection]:
    """Connect, close again if the block fails, and translate the errors of SQLite."""
    connection: sqlite3.Connection | None = None
    try:
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?{mode}",
            uri=True,
            timeout=patience_s,
            isolation_level=None,
            check_same_thread=False,
        )
        connection.row_factory = sqlite3.Row
        yield connection
    except BaseException as error:
        if connection is not None:
            connection.close()
        if isinstance(error, sqlite3.Error):
            raise problem_with(path, error) from error
        raise


def problem_with(path: Path, error: Exception) -> RegisterProblem:
    """Say what the error of SQLite or the system means to a keeper, and what to do."""
    for codes, problem, remedy in _MEANINGS:
        if _code(error) in codes:
            return RegisterProblem(f"The register {path} {problem}.", remedy)
    return RegisterProblem(f"The register {path} failed: {error}.", _LOOK)


_LOOK: Final = "Check the disk and the file's permissions, then try again."
_MEANINGS: Final = (
    (
        {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, "EACCES", "EPERM", "EROFS"},
        "cannot be written: it, its folder or its disk is read-only",
        "Make the file and its folder writable for you, or choose another folder with --home.",
    ),
    (
        {sqlite3.SQLITE_FULL, "ENOSPC", "EDQUOT"},
        "cannot be written: the disk is full",
        "Free some space on the disk, then try again.",
    ),
    (
        {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED},
        "is in use by another program that does not let go of it",
        "Close the other program, then try again.",
    ),
    (
        {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_FORMAT},
        "is damaged, or is not a register",
        "Run: dosewren rescue (it reads what can be read, and keeps the damaged file).",
    ),
    (
        {sqlite3.SQLITE_CANTOPEN, "ENOENT", "EISDIR", "ENOTDIR"},
        "cannot be opened",
        "Check that the folder is there and can be written to, and that the name is a file.",
    ),
    (
        {sqlite3.SQLITE_IOERR, sqlite3.SQLITE_NOLFS, "EIO", "EFBIG"},
        "cannot be written or read: the disk reports a failure or has no room",
        "Check the disk and the space left on it, then try again.",
    ),
)


def _code(error: Exception) -> int | str:
    if isinstance(error, sqlite3.Error):
        # The low byte is the kind; the rest tells SQLite's own programmers where.
        return int(getattr(error, "sqlite_errorcode", 0)) & 0xFF
    return errno.errorcode.get(error.errno or 0, "") if isinstance(error, OSError) else 0


def _create_private(path: Path) -> None:
    try:
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    except FileExistsError:
        return


def _use_wal(connection: sqlite3.Connection, patience_s: float) -> None:
    # Two programs that first open a new file at once can refuse each other without waiting.
    deadline = time.monotonic() + patience_s
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if _code(error) != sqlite3.SQLITE_BUSY or time.monotonic() > deadline:
                raise
            time.sleep(_PAUSE_S)
        else:
            return


def _migrate(connection: sqlite3.Connection) -> None:
    steps = _migrations()
    if _pragma(connection, "user_version") == len(steps):
        return
    connection.execute("BEGIN IMMEDIATE")
    version = _pragma(connection, "user_version")  # again: another program may have been quicker
    for number, step in enumerate(steps[version:], start=version + 1):
        for statement in _statements(step):
            connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {number:d}")
    connection.execute("COMMIT")


def _check_ours(connection: sqlite3.Connection, path: Path) -> None:
    (objects,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if objects and _pragma(connection, "application_id") != APPLICATION_ID:
        raise RegisterProblem(
            f"{path} is a database of some other program, not a register of dosewren.",
            "Move it elsewhere, or choose another folder with --home.",
        )
    version, known = _pragma(connection, "user_version"), len(_migrations())
    if version > known:
        raise RegisterProblem(
            f"The register {path} was written by a newer dosewren (version {version} of the "
            f"register; this one knows {known}).",
            "Install the newer dosewren again, or choose another folder with --home.",
        )


def _check_guards(connection: sqlite3.Connection, path: Path) -> None:
    rows = connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
    lost = GUARDS - {name for (name,) in rows}
    if lost:
        raise RegisterProblem(
            f"The register {path} has lost what keeps its rows from being changed: "
            f"{', '.join(sorted(lost))}.",
            "Move the file aside and keep it; dosewren then starts a new one.",
        )


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def _migrations() -> list[str]:
    folder = files("assistant") / "data" / "register"
    steps = sorted((f for f in folder.iterdir() if f.name.endswith(".sql")), key=lambda f: f.name)
    return [step.read_text("utf-8") for step in steps]


def _statements(script: str) -> Iterator[str]:
    """Cut the script into statements: `executescript` would end the transaction it runs in."""
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
