"""Digits drawn with blocks, as large as there is room for.

A digit is a grid of five by five: strokes in the first, third and fifth column and row, gaps
between them.  Strokes are as many half rows thick as they are columns wide, since the cell of a
terminal is about twice as high as it is wide; the gaps take what room is left.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

_GLYPHS = {
    "0": ("#####", "#...#", "#...#", "#...#", "#####"),
    "1": ("###..", "..#..", "..#..", "..#..", "#####"),
    "2": ("#####", "....#", "#####", "#....", "#####"),
    "3": ("#####", "....#", "#####", "....#", "#####"),
    "4": ("#...#", "#...#", "#####", "....#", "....#"),
    "5": ("#####", "#....", "#####", "....#", "#####"),
    "6": ("#####", "#....", "#####", "#...#", "#####"),
    "7": ("#####", "....#", "....#", "....#", "....#"),
    "8": ("#####", "#...#", "#####", "#...#", "#####"),
    "9": ("#####", "#...#", "#####", "....#", "#####"),
    ".": (".", ".", ".", ".", "#"),
}
_THICKEST = 12
_SLENDER = 2
"""A gap between strokes is at most so many strokes high."""

_THIN, _WHOLE_ROWS = 1, 2
"""Half rows that can be told apart: each with blocks; without them two at once, or a 5 whose last
strokes share a row looks like a 6."""

_BLOCKS = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


@dataclass(frozen=True, slots=True)
class _Scale:
    """Strokes and gaps: in columns, and in half rows."""

    stroke: int
    gap: int
    thick: int
    inner: int

    @property
    def between(self) -> int:
        return max(2, self.stroke - 1)

    def width(self, text: str) -> int:
        drawn = sum(self.stroke if one == "." else self._digit for one in text)
        return drawn + self.between * (len(text) - 1)

    @property
    def _digit(self) -> int:
        return 3 * self.stroke + 2 * self.gap


def big_digits(text: str, columns: int, rows: int, *, blocks: bool = True) -> list[str]:
    """The number as lines of blocks that fit into so many columns and rows; none where none fits.

    Without `blocks` it is drawn with `#`, for a terminal that has no others.  Takes digits and a
    point.
    """
    scale = _largest(text, columns, rows, _THIN if blocks else _WHOLE_ROWS)
    if scale is None:
        return []
    bitmap = list(_bitmap(text, scale))
    if len(bitmap) % 2:
        bitmap.insert(0, [False] * len(bitmap[0]))
    pairs = zip(bitmap[::2], bitmap[1::2], strict=True)
    if blocks:
        return ["".join(map(_BLOCKS.__getitem__, zip(*pair, strict=True))) for pair in pairs]
    return ["".join(" #"[any(both)] for both in zip(*pair, strict=True)) for pair in pairs]


def _largest(text: str, columns: int, rows: int, unit: int) -> _Scale | None:
    """The largest scale whose strokes and gaps are whole units of half rows."""
    for stroke in range(_THICKEST, 0, -1):
        thick = max(unit, stroke // unit * unit)
        inner = min((2 * rows - 3 * thick) // 2, _SLENDER * thick) // unit * unit
        scale = _Scale(stroke, max(1, stroke // 2), thick, inner)
        if inner >= max(2, thick) and scale.width(text) <= columns:
            return scale
    return None


def _bitmap(text: str, scale: _Scale) -> Iterator[list[bool]]:
    """Half row by half row, which columns are inked."""
    heights = (scale.thick, scale.inner, scale.thick, scale.inner, scale.thick)
    for line, height in enumerate(heights):
        row: list[bool] = []
        for number, char in enumerate(text):
            row += [False] * (scale.between if number else 0)
            row += _inked(_GLYPHS[char][line], scale)
        for _ in range(height):
            yield row


def _inked(pattern: str, scale: _Scale) -> list[bool]:
    widths = (scale.stroke, scale.gap, scale.stroke, scale.gap, scale.stroke)
    return [mark == "#" for mark, width in zip(pattern, widths, strict=False) for _ in range(width)]
