"""A terminal's worth of cells to draw on, each a character and a style."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

_WIDE = frozenset("WF")


class Style(Enum):
    """How a cell looks.  The words say all of it: a style only helps to find them."""

    PLAIN = "plain"
    STRONG = "strong"
    FAINT = "faint"
    DOSE = "dose"
    ASK = "ask"
    ALARM = "alarm"
    BAR = "bar"


Cell = tuple[str, Style]
BLANK: Cell = (" ", Style.PLAIN)


@dataclass(frozen=True, slots=True)
class Frame:
    """What is on the screen: rows of cells.  The cell after a wide character is empty."""

    rows: tuple[tuple[Cell, ...], ...]

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows."""
        return len(self.rows[0]) if self.rows else 0, len(self.rows)

    @property
    def text(self) -> str:
        """The characters alone."""
        return "\n".join("".join(char for char, _ in row).rstrip() for row in self.rows)


class Canvas:
    """Cells that are still blank, or drawn over; what does not fit is cut off."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns = columns
        self.rows = rows
        self._cells = [[BLANK] * columns for _ in range(rows)]

    def put(self, column: int, row: int, text: str, style: Style = Style.PLAIN) -> None:
        """Write the text from a cell on; characters that no terminal prints are shown as such."""
        if not 0 <= row < self.rows:
            return
        for char, width in _printed(text):
            if width == 0:
                self._add_mark(column - 1, row, char)
                continue
            if 0 <= column <= self.columns - width:
                self._cells[row][column] = (char, style)
                if width == 2:  # noqa: PLR2004 - such a character covers the next cell too
                    self._cells[row][column + 1] = ("", style)
            column += width

    def centre(self, row: int, text: str, style: Style = Style.PLAIN) -> None:
        """Write the text in the middle of a row."""
        self.put(max(0, (self.columns - width_of(text)) // 2), row, text, style)

    def fill(self, row: int, style: Style) -> None:
        """Give a whole row a style."""
        self._cells[row] = [(char, style) for char, _ in self._cells[row]]

    def frame(self) -> Frame:
        """What was drawn."""
        return Frame(tuple(map(tuple, self._cells)))

    def _add_mark(self, column: int, row: int, mark: str) -> None:
        if 0 <= column < self.columns:
            char, style = self._cells[row][column]
            self._cells[row][column] = (char + mark, style)


def width_of(text: str) -> int:
    """How many cells the text takes."""
    return sum(width for _, width in _printed(text))


def _printed(text: str) -> Iterator[tuple[str, int]]:
    """Each character with its width in cells; a mark that joins the one before has none."""
    for char in text:
        if unicodedata.combining(char):
            yield char, 0
        elif not char.isprintable():
            yield "·", 1
        else:
            yield char, 1 + (unicodedata.east_asian_width(char) in _WIDE)
