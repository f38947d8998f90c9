"""The screen on a real terminal: drawn in a thread of its own, so that it holds nobody up."""

from __future__ import annotations

import queue
import shutil
import sys
import threading
import time
from typing import Self

from assistant.adapters.screen.layout import Look, Signs, lay_out
from assistant.adapters.screen.look import after, waiting
from assistant.adapters.screen.paint import Painter
from assistant.adapters.sharing.wire import Left, Level, Over, Told, Welcome
from assistant.adapters.terminal.plain import uses_colour
from assistant.errors import UsageProblem

_GLANCE_S = 0.25
"""How often the size of the window is looked at."""

_HEAL_EVERY_S = 10.0
"""How often all cells are written again: something else may have printed over them."""


class ScreenTerminal:
    """A terminal that shows a look, and follows the messages of a round; a context.

    Raises UsageProblem where standard output is no terminal.
    """

    def __init__(self) -> None:
        if not sys.stdout.isatty():
            raise UsageProblem("The screen needs a terminal to draw on.")
        self._look = waiting()
        self._coming: queue.SimpleQueue[Look | Told | Level | Left | Over | Welcome | None]
        self._coming = queue.SimpleQueue()
        self._painter = Painter(_write, colours=uses_colour())
        self._signs = Signs(blocks=_has_blocks())
        self._drawing = threading.Thread(target=self._draw, name="screen", daemon=True)

    def take(self, message: Look | Told | Level | Left | Over | Welcome) -> None:
        """Show what the message changes, or a look as it is; from any thread."""
        self._coming.put(message)

    def __enter__(self) -> Self:
        """Begin to draw."""
        self._drawing.start()
        return self

    def __exit__(self, *_: object) -> None:
        """Give the terminal back."""
        self._coming.put(None)
        self._drawing.join(1.0)
        self._painter.leave()

    def _draw(self) -> None:
        healed = time.monotonic()
        while True:
            columns, rows = shutil.get_terminal_size()
            self._painter.paint(lay_out(self._look, columns, rows, self._signs))
            if time.monotonic() - healed > _HEAL_EVERY_S:
                healed = time.monotonic()
                self._painter.paint_again()
            if not self._goes_on():
                return

    def _goes_on(self) -> bool:
        """Take in all that has come, after waiting a moment for it; whether it is to be drawn."""
        try:
            message = self._coming.get(timeout=_GLANCE_S)
            while message is not None:
                self._look = message if isinstance(message, Look) else after(self._look, message)
                message = self._coming.get_nowait()
        except queue.Empty:
            return True
        return False


def _write(text: str) -> None:
    sys.stdout.write(text)
    sys.stdout.flush()


def _has_blocks() -> bool:
    try:
        "█▀▄┃░…“”▼".encode(sys.stdout.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
