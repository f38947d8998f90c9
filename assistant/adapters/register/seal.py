"""A seal for each row of the register: a digest of what was written, kept beside it.

It finds what a failing disk or a careless program has changed.  Whoever means to deceive can make
a new seal as well.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Mapping
from typing import Final

TABLE: Final = "seal"
_LENGTH: Final = 32

Cell = str | float | None
"""What one column of a row holds."""


def seal(connection: sqlite3.Connection, table: str, row_id: int, row: Mapping[str, Cell]) -> None:
    """Write the seal of a row that has just been added under this number."""
    values = table, row_id, digest(row)
    connection.execute("INSERT INTO seal (table_name, row_id, digest) VALUES (?, ?, ?)", values)


def digest(row: Mapping[str, Cell]) -> str:
    """32 hexadecimal digits of the SHA-256 of a row's columns, but for its number.

    A column without a value does not count, so that one added later breaks no seal.
    """
    told = {name: _told(cell) for name, cell in row.items() if cell is not None and name != "id"}
    text = json.dumps(told, sort_keys=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:_LENGTH]


def _told(cell: Cell) -> str:
    """A cell as text; the database gives a number back as its column has it, 1 or 1.0 or "1"."""
    return f"{cell:.17g}" if isinstance(cell, int | float) else str(cell)
