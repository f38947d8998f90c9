"""Lines typed at a terminal, while what happens elsewhere may be shown above them."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.buffer import Buffer


class TypedLines(Protocol):
    """Where lines are read from."""

    def read(self) -> str:
        """The next line; EOFError at the end, or once it was stopped."""

    def stop(self) -> None:
        """Let go of whoever reads; from any thread."""


def typed_lines(words: Iterable[str], history: Path, begun: Callable[[], None]) -> TypedLines:
    """Lines with history and completion on a terminal, plain ones elsewhere.

    `begun` is called whenever a line is begun: at its first key, or when it is waited for where
    keys cannot be seen.
    """
    if not sys.stdin.isatty():
        return _PlainLines(begun)
    return _PromptedLines(words, history, begun)


class _PlainLines:
    def __init__(self, begun: Callable[[], None]) -> None:
        self._begun = begun
        self._stopped = False

    def read(self) -> str:
        self._begun()
        line = sys.stdin.buffer.readline()
        if not line or self._stopped:
            raise EOFError
        return line.decode("utf-8", errors="replace").rstrip("\r\n")

    def stop(self) -> None:
        # a plain read cannot be woken: the line that ends it is not taken
        self._stopped = True


class _PromptedLines:
    def __init__(self, words: Iterable[str], history: Path, begun: Callable[[], None]) -> None:
        from prompt_toolkit import PromptSession
        from prompt_toolkit.completion import FuzzyWordCompleter
        from prompt_toolkit.history import FileHistory

        self._begun = begun
        self._was_empty = True
        self._stopped = False
        self._session: PromptSession[str] = PromptSession(
            history=FileHistory(str(history)),
            completer=FuzzyWordCompleter(sorted(set(words))),
            complete_while_typing=False,
        )
        self._session.default_buffer.on_text_changed += self._changed

    def read(self) -> str:
        from prompt_toolkit.patch_stdout import patch_stdout

        if self._stopped:
            raise EOFError
        self._begun()
        # what other threads print meanwhile comes above the line that is being typed
        with patch_stdout(raw=True):
            return self._session.prompt("> ")

    def stop(self) -> None:
        self._stopped = True
        app = self._session.app
        if app.loop is not None:
            # it may have been left at this very moment
            with contextlib.suppress(RuntimeError):
                app.loop.call_soon_threadsafe(self._leave)

    def _leave(self) -> None:
        if self._session.app.is_running:
            self._session.app.exit(exception=EOFError)

    def _changed(self, buffer: Buffer) -> None:
        if self._was_empty and buffer.text:
            self._begun()
        self._was_empty = not buffer.text
