"""Reads large digits off a screen, as an eye does: by their seven segments, not by our table."""

from __future__ import annotations

import itertools

SEGMENTS = {
    "1110111": "0", "1011101": "2", "1011011": "3", "0111010": "4", "1101011": "5",
    "1101111": "6", "1010010": "7", "1111111": "8", "1111011": "9",
}  # fmt: skip
"""Top, upper left, upper right, middle, lower left, lower right, bottom: lit or not.

The usual order of a seven-segment display, whose digits are read so everywhere; a one is told by
its single stem.
"""

INK = {"█": (True, True), "▀": (True, False), "▄": (False, True), "#": (True, True)}
Bits = list[list[bool]]


def read_digits(rows: list[str]) -> str:
    """The number that stands in large between the bird and the syringe."""
    end = next(at for at, row in enumerate(rows) if "syringe" in row)
    bits: Bits = []
    width = max(map(len, rows))
    for row in rows[2:end]:
        halves = [INK.get(char, (False, False)) for char in row.ljust(width)]
        bits += [[upper for upper, _ in halves], [lower for _, lower in halves]]
    inked = [any(column) for column in zip(*bits, strict=True)]
    rows_inked = [at for at, row in enumerate(bits) if any(row)]
    top, bottom = min(rows_inked), max(rows_inked) + 1
    return "".join(
        _read([row[first:last] for row in bits[top:bottom]]) for first, last in _stretches(inked)
    )


def _stretches(inked: list[bool]) -> list[tuple[int, int]]:
    found, at = [], 0
    for is_inked, group in itertools.groupby(inked):
        width = len(list(group))
        if is_inked:
            found.append((at, at + width))
        at += width
    return found


def _read(bits: Bits) -> str:
    height, width = len(bits), len(bits[0])
    if not any(any(row) for row in bits[: height // 2]):
        return "."
    middle, right = height // 2, width - 1
    upper, lower = height // 4, height * 3 // 4
    if bits[upper][width // 2]:
        return "1"
    points = [
        (0, width // 2), (upper, 0), (upper, right), (middle, width // 2),
        (lower, 0), (lower, right), (height - 1, width // 2),
    ]  # fmt: skip
    return SEGMENTS["".join("01"[bits[row][column]] for row, column in points)]
