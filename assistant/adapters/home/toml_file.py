"""A keeper's TOML file as plain tables, with line and column where it cannot be read."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from assistant.errors import DataProblem, PartMissing

LARGEST_FILE: Final = 1_000_000
"""In bytes; far above what a keeper writes by hand."""

_LARGEST_EXPONENT: Final = 12
_PLACE: Final = re.compile(r"(?P<what>.*) \(at line (?P<line>\d+), column (?P<column>\d+)\)")
_AT_END: Final = re.compile(r"(?P<what>.*) \(at end of document\)")


def read_text(path: Path, largest: int = LARGEST_FILE, missing: str | None = None) -> str:
    """The text of the file, line ends as they are; raises PartMissing or DataProblem.

    `largest` is in bytes, and `missing` is what to do where there is no such file.
    """
    try:
        if path.exists() and not path.is_file():
            raise DataProblem(f"{path} is not a file.", "Move it away; a text file belongs there.")
        with path.open("rb") as file:
            content = file.read(largest + 1)
    except FileNotFoundError as error:
        raise PartMissing(f"{path} is missing.", missing or _MAKE_IT) from error
    except OSError as error:
        raise DataProblem(
            f"{path} cannot be read: {error.strerror}.", "Check the file's permissions."
        ) from error
    if len(content) > largest:
        raise DataProblem(
            f"{path} is larger than {largest:,} bytes.", "Check that it is the right file."
        )
    return _decoded(content, path)


def parse(text: str, path: Path) -> dict[str, Any]:
    """The tables that the text holds, numbers exact; raises DataProblem with line and column."""
    try:
        return tomllib.loads(text, parse_float=_exact)
    except (ValueError, ArithmeticError) as error:
        raise DataProblem(f"{path}{_where(str(error), text)}", _MEND_IT) from error
    except RecursionError as error:
        raise DataProblem(f"{path}: too many brackets inside brackets.", _MEND_IT) from error


_MAKE_IT: Final = (
    "Run: dosewren setup (asks a few questions), or: dosewren setup --demo (an invented set)."
)
_MEND_IT: Final = (
    "Correct that line: key = value, with text between quotation marks, and [ ] and { } closed."
)


def _exact(text: str) -> Decimal:
    number = Decimal(text)
    if number.is_finite() and abs(number.adjusted()) > _LARGEST_EXPONENT:
        raise ValueError(f"{text[:40]} is too large a number")
    return number


def _where(message: str, text: str) -> str:
    """The place and the fault, from a message that tells them in its own way."""
    if found := _PLACE.fullmatch(message):
        return f", line {found['line']}, column {found['column']}: {found['what']}."
    if found := _AT_END.fullmatch(message):
        lines = text.split("\n")
        return f", line {len(lines)}, column {len(lines[-1]) + 1}: {found['what']}."
    return f": {message}."


def _decoded(content: bytes, path: Path) -> str:
    try:
        # Some editors put a byte order mark in front, which TOML does not allow.
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = error.object[: error.start]
        line = before.count(b"\n") + 1
        column = len(before.rpartition(b"\n")[2].decode("utf-8", "replace")) + 1
        raise DataProblem(
            f"{path}, line {line}, column {column}: this is not UTF-8 text.",
            "Save the file again as UTF-8.",
        ) from error
