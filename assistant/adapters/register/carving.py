"""Rows read from the bare pages of a register's file, whatever is left of the rest.

Only leaves of tables are looked at, each for itself, so that a damaged schema or a damaged branch
hides nothing.  Who calls has to know a row that stands as written from one that does not.

Source: "Database File Format", sqlite.org/fileformat2.html, sections 1.6 (b-tree pages), 2.1
(record format) and 4.1 (the log's frames).
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

Value = str | float | None
Record = tuple[int, tuple[Value, ...]]
"""A row's number, and its columns in their order; the column of the number itself is None."""

PAGE: Final = 4096
"""What SQLite writes unless it is told otherwise, and we do not tell it."""

_FILE_HEADER, _LOG_HEADER, _FRAME_HEADER = 100, 32, 24
_LEAF: Final = 0x0D
_LARGEST: Final = 1_000_000
_LEAST_KEPT: Final = (PAGE - 12) * 32 // 255 - 23
"""The least of a long row that stays on its leaf."""

_BYTES_OF_INTEGER: Final = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}
_REAL, _ZERO, _ONE, _FIRST_TEXT = 7, 8, 9, 12


def records(file: Path, log: Path) -> Iterator[Record]:
    """Every row on any leaf of the file, and of the log beside it where there is one."""
    pages = dict(enumerate(_cut(file.read_bytes(), 0, 0), start=1))
    newer = list(_frames(log.read_bytes())) if log.exists() else []
    latest = {**pages, **dict(newer)}
    for number, page in (*pages.items(), *newer):
        yield from _on(page, _FILE_HEADER if number == 1 else 0, latest)


def _cut(content: bytes, start: int, between: int) -> Iterator[bytes]:
    for place in range(start + between, len(content) - PAGE + 1, PAGE + between):
        yield content[place : place + PAGE]


def _frames(log: bytes) -> Iterator[tuple[int, bytes]]:
    for place, page in enumerate(_cut(log, _LOG_HEADER, _FRAME_HEADER)):
        (number,) = struct.unpack_from(">I", log, _LOG_HEADER + place * (PAGE + _FRAME_HEADER))
        yield number, page


def _on(page: bytes, header: int, pages: Mapping[int, bytes]) -> Iterator[Record]:
    if page[header] != _LEAF:
        return
    (cells,) = struct.unpack_from(">H", page, header + 3)
    for cell in range(min(cells, PAGE // 4)):
        try:
            (place,) = struct.unpack_from(">H", page, header + 8 + 2 * cell)
            length, place = _varint(page, place)
            number, place = _varint(page, place)
            yield number, _columns(_payload(page, place, length, pages))
        except (IndexError, KeyError, ValueError, struct.error):
            # a cell that makes no sense is a damaged one
            continue


def _payload(page: bytes, place: int, length: int, pages: Mapping[int, bytes]) -> bytes:
    """All bytes of a row; a long one goes on in pages of its own."""
    if length > _LARGEST:
        raise ValueError("no row of ours is so long")
    most = PAGE - 35
    if length <= most:
        return page[place : place + length]
    kept = _LEAST_KEPT + (length - _LEAST_KEPT) % (PAGE - 4)
    kept = kept if kept <= most else _LEAST_KEPT
    found = page[place : place + kept]
    (following,) = struct.unpack_from(">I", page, place + kept)
    while len(found) < length:
        further = pages[following]
        found += further[4 : 4 + length - len(found)]
        (following,) = struct.unpack_from(">I", further)
    return found


def _columns(row: bytes) -> tuple[Value, ...]:
    ends, place = _varint(row, 0)
    kinds = []
    while place < ends:
        kind, place = _varint(row, place)
        kinds.append(kind)
    values = []
    for kind in kinds:
        value, place = _value(row, place, kind)
        values.append(value)
    return tuple(values)


def _value(row: bytes, place: int, kind: int) -> tuple[Value, int]:
    if kind == 0:
        return None, place
    if kind in {_ZERO, _ONE}:
        return kind - _ZERO, place
    if kind == _REAL:
        return struct.unpack_from(">d", row, place)[0], place + 8
    if kind in _BYTES_OF_INTEGER:
        ends = place + _BYTES_OF_INTEGER[kind]
        return int.from_bytes(_whole(row, place, ends), "big", signed=True), ends
    if kind > _FIRST_TEXT and kind % 2:
        ends = place + (kind - _FIRST_TEXT) // 2
        return _whole(row, place, ends).decode("utf-8"), ends
    raise ValueError("no column of ours holds that")


def _whole(row: bytes, place: int, ends: int) -> bytes:
    if ends > len(row):
        raise ValueError("the row ends too early")
    return row[place:ends]


def _varint(content: bytes, place: int) -> tuple[int, int]:
    """A number of up to nine bytes, and where it ends."""
    value = 0
    for count in range(8):
        byte = content[place + count]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:  # noqa: PLR2004 - the highest bit says that more bytes follow
            return value, place + count + 1
    return value << 8 | content[place + 8], place + 9
