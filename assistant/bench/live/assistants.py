"""The real `dosewren talk`, as a process that is started, waited for and killed."""

from __future__ import annotations

import queue
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO

_PATIENCE_S = 120.0


class Assistant:
    """A running talk, and the lines that it has shown."""

    def __init__(self, process: subprocess.Popen[str], shown: IO[str]) -> None:
        self._process = process
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self.shown: list[str] = []
        threading.Thread(target=self._read, args=(shown,), daemon=True).start()

    def _read(self, shown: IO[str]) -> None:
        for line in shown:
            self.shown.append(line)
            self._lines.put(line)
        self._lines.put(None)

    @property
    def pid(self) -> int:
        """The number of the process."""
        return self._process.pid

    def until(self, text: str) -> bool:
        """Wait until a line with the text is shown; false when it ends or takes too long."""
        while True:
            try:
                line = self._lines.get(timeout=_PATIENCE_S)
            except queue.Empty:
                return False
            if line is None or text in line:
                return line is not None

    def ends(self) -> int | None:
        """The exit code, once it has ended by itself; None when it does not."""
        try:
            return self._process.wait(_PATIENCE_S)
        except subprocess.TimeoutExpired:
            return None

    def kill(self) -> None:
        """End it as a power cut would."""
        self._process.send_signal(signal.SIGKILL)
        self._process.wait()


@contextmanager
def talking(home: Path, options: Sequence[str] = ()) -> Iterator[Assistant]:
    """Start to talk at a keeper's home; whatever happens, the process is gone afterwards."""
    command = [sys.executable, "-u", "-m", "assistant", "talk", "--home", str(home), *options]
    with subprocess.Popen(  # noqa: S603 - our own program
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True
    ) as process:
        if process.stdout is None:
            raise AssertionError(command)
        try:
            yield Assistant(process, process.stdout)
        finally:
            process.kill()
