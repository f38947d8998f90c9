"""The register as a sheet for other programs (CSV, JSON lines) and for the terminal.

CSV follows RFC 4180: a header, CRLF line ends, quotation marks doubled.  A text cell that a
spreadsheet would run as a formula (it starts, after any blanks, with = + - @, also in full width,
or with a tab or a line end) gets an apostrophe in front.  JSON lines carry every text unchanged.
No number has a trailing zero.
"""

from __future__ import annotations

import csv
import io
import json
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from assistant.adapters.register.rows import KeptDose
from assistant.conversation.entries import ExchangeEntry
from assistant.dosing.quantities import decimal_text

Cell = str | bool | int | float | Decimal | date | None

_RUN_AS_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""How a text begins that a spreadsheet may run: OWASP, "CSV Injection"."""

_LONGEST_CELL: Final = 48
_GAP: Final = "  "


BYTE_ORDER: Final = "\ufeff"
"""The byte order mark, to stand before the header where it is asked for: some spreadsheets take
UTF-8 for UTF-8 only after it."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Rows under column names, in the order they were written.

    `brief` are the columns that a terminal has room for; `amounts` those that hold exact decimals
    and so are texts in JSON; `objects` those whose text is a JSON object of its own.
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    brief: tuple[str, ...]
    amounts: frozenset[str] = frozenset()
    objects: frozenset[str] = frozenset()


_EXCHANGE: Final = (
    *("at", "round_id", "channel", "engine", "heard", "confidence"),
    *("status", "intent", "request", "reason", "reply"),
)
_SAID: Final = (
    *("at", "round_id", "dose_id", "species", "bird", "grams", "medicine", "strength"),
    *("dilution", "volume_ml", "exact_ml", "syringe", "needle", "needle_state", "band"),
    "fictional",
)


def sheet_of_exchanges(entries: Iterable[ExchangeEntry]) -> Sheet:
    """One row for each exchange."""
    return Sheet(
        columns=_EXCHANGE,
        rows=tuple(tuple(getattr(entry, name) for name in _EXCHANGE) for entry in entries),
        brief=("at", "heard", "status", "reply"),
        objects=frozenset({"request"}),
    )


def sheet_of_doses(kept: Iterable[KeptDose]) -> Sheet:
    """One row for each dose that was said, with the end that stands: `end`, `ended_at`, `note`."""
    return Sheet(
        columns=(*_SAID, "end", "ended_at", "note"),
        rows=tuple(
            (*(getattr(one.said, name) for name in _SAID), one.end, one.ended_at, one.note)
            for one in kept
        ),
        brief=("at", "bird", "species", "grams", "medicine", "volume_ml", "end"),
        amounts=frozenset({"volume_ml", "exact_ml"}),
    )


def csv_lines(sheet: Sheet, *, header: bool = True) -> Iterator[str]:
    """The header and each row as CSV, CRLF included: write them without newline translation."""
    for row in (sheet.columns, *sheet.rows) if header else sheet.rows:
        line = io.StringIO(newline="")
        csv.writer(line, lineterminator="\r\n").writerow([_csv_cell(cell) for cell in row])
        yield line.getvalue()


def json_lines(sheet: Sheet) -> Iterator[str]:
    """Each row as one JSON object on a line of its own, line end included.

    What is unknown is null; weights are numbers; volumes are decimal texts without a unit.
    """
    for row in sheet.rows:
        cells = zip(sheet.columns, row, strict=True)
        content = {name: _json_cell(sheet, name, cell) for name, cell in cells}
        yield json.dumps(content, ensure_ascii=False, allow_nan=False) + "\n"


def listing(sheet: Sheet) -> Iterator[str]:
    """The brief columns under their names, aligned, for a terminal; no line ends.

    Long cells are cut, and control characters, which could steer the terminal, are replaced.
    """
    places = [sheet.columns.index(name) for name in sheet.brief]
    table = [sheet.brief, *([_plain_cell(row[place]) for place in places] for row in sheet.rows)]
    widths = [max(map(_width, column)) for column in zip(*table, strict=True)]
    right = [any(isinstance(row[place], Decimal) for row in sheet.rows) for place in places]
    for line in table:
        yield _aligned(line, widths, right)


def _aligned(line: Sequence[str], widths: Sequence[int], right: Sequence[bool]) -> str:
    cells = []
    for text, width, to_right in zip(line, widths, right, strict=True):
        room = " " * (width - _width(text))
        cells.append(room + text if to_right else text + room)
    return _GAP.join(cells).rstrip()


def _csv_cell(cell: Cell) -> str:
    text = _text(cell)
    guarded = isinstance(cell, str) and (
        text.startswith(_RUN_AS_FORMULA) or text.lstrip().startswith(_RUN_AS_FORMULA)
    )
    return f"'{text}" if guarded else text


def _json_cell(sheet: Sheet, name: str, cell: Cell) -> object:
    if isinstance(cell, Decimal):
        if name in sheet.amounts:
            return _text(cell)
        return int(cell) if cell == cell.to_integral_value() else float(cell)
    if name in sheet.objects and isinstance(cell, str):
        return _json_object(cell)
    if isinstance(cell, bool | int | float) or cell is None:
        return cell
    return _text(cell)


def _json_object(text: str) -> object:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return text
    return found if isinstance(found, dict) else text


def _text(cell: Cell) -> str:
    match cell:
        case None:
            return ""
        case bool():
            return "yes" if cell else "no"
        case datetime():
            return cell.isoformat()
        case Decimal():
            return decimal_text(cell)
        case _:
            return str(cell)


def _plain_cell(cell: Cell) -> str:
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ", timespec="minutes")
    text = "".join(
        "·" if unicodedata.category(sign).startswith("C") else sign for sign in _text(cell)
    )
    return text if len(text) <= _LONGEST_CELL else text[: _LONGEST_CELL - 1] + "…"


def _width(text: str) -> int:
    """How many columns of a terminal the text takes."""
    marks = sum(unicodedata.combining(sign) != 0 for sign in text)
    wide = sum(unicodedata.east_asian_width(sign) in "WF" for sign in text)
    return len(text) + wide - marks
