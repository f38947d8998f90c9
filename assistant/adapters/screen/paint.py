"""Frames brought onto a terminal: only what changed is written, and nothing is cleared."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from assistant.adapters.screen.canvas import BLANK, Cell, Frame, Style

_ENTER = "\033[?1049h\033[?25l\033[?7l\033[0m\033[H\033[2J"
"""The other screen of the terminal, without cursor and without wrapping, cleared once."""

_LEAVE = "\033[0m\033[?7h\033[?25h\033[2J\033[H\033[?1049l"
_BEGIN, _END = "\033[?2026h", "\033[?2026l"
"""A frame is shown at once by terminals that know of synchronised output; others ignore this."""

_COLOURED = {
    Style.PLAIN: "0",
    Style.STRONG: "0;1",
    Style.FAINT: "0;2",
    Style.DOSE: "0;1;32",
    Style.ASK: "0;1;33",
    Style.ALARM: "0;1;7;31",
    Style.BAR: "0;7",
}
_COLOURLESS = {**_COLOURED, Style.DOSE: "0;1", Style.ASK: "0;1", Style.ALARM: "0;1;7"}
_NEAR = 6
"""So many unchanged cells between two changes are written again: cheaper than to move there."""


@dataclass(frozen=True, slots=True)
class _Run:
    row: int
    column: int
    cells: tuple[Cell, ...]


class Painter:
    """A terminal behind a function that writes to it; it remembers what it shows."""

    def __init__(self, write: Callable[[str], None], *, colours: bool) -> None:
        self._write = write
        self._codes = _COLOURED if colours else _COLOURLESS
        self._shown: Frame | None = None

    def paint(self, frame: Frame) -> None:
        """Show the frame; of another size than the last, on a screen that is cleared first."""
        if self._shown is None or self._shown.size != frame.size:
            self._write(_ENTER)
            self._shown = Frame(tuple((BLANK,) * len(row) for row in frame.rows))
        runs = list(_changes(self._shown, frame))
        if runs:
            self._write(f"{_BEGIN}{''.join(map(self._drawn, runs))}\033[0m{_END}")
        self._shown = frame

    def paint_again(self) -> None:
        """Write every cell once more, over whatever another program may have left there."""
        if self._shown is not None:
            rows = enumerate(self._shown.rows)
            drawn = "".join(self._drawn(_Run(number, 0, row)) for number, row in rows)
            self._write(f"{_BEGIN}{drawn}\033[0m{_END}")

    def leave(self) -> None:
        """Give the terminal back as it was."""
        if self._shown is not None:
            self._write(_LEAVE)
            self._shown = None

    def _drawn(self, run: _Run) -> str:
        parts = [f"\033[{run.row + 1};{run.column + 1}H"]
        style = None
        for char, its_style in run.cells:
            if its_style is not style:
                style = its_style
                parts.append(f"\033[{self._codes[style]}m")
            parts.append(char)
        return "".join(parts)


def _changes(old: Frame, new: Frame) -> list[_Run]:
    runs = []
    for number, (before, after) in enumerate(zip(old.rows, new.rows, strict=True)):
        changed = [at for at, cell in enumerate(after) if cell != before[at]]
        runs += [_Run(number, start, after[start:end]) for start, end in _joined(changed, after)]
    return runs


def _joined(changed: list[int], row: tuple[Cell, ...]) -> list[tuple[int, int]]:
    """Stretches from the first changed cell to after the last, near ones taken together."""
    stretches: list[tuple[int, int]] = []
    for at in changed:
        # the second half of a wide character is written by its first
        start = at - 1 if row[at][0] == "" else at
        if stretches and start - stretches[-1][1] <= _NEAR:
            stretches[-1] = (stretches[-1][0], at + 1)
        else:
            stretches.append((start, at + 1))
    return stretches
