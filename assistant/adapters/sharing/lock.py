"""One round at a time in a home: a lock that goes away by itself with the process that holds it."""

from __future__ import annotations

import contextlib
import json
import os
import sys
from dataclasses import asdict, dataclass
from pathlib import Path

from assistant.errors import DataProblem

_LONGEST = 4096
_FAR_AWAY = 1 << 30
"""Windows locks bytes, not files: one that the text never reaches, so that others may read it."""


@dataclass(frozen=True, slots=True)
class Holder:
    """Who holds the round: the process, its command, when it began, and where it can be joined."""

    process: int
    command: str
    since: str
    socket: str = ""

    @property
    def said(self) -> str:
        """The holder as a keeper is told."""
        return f"{self.command}, since {self.since}, process {self.process}"


class RoundLock:
    """The lock in a file, which stays when the lock is gone.

    The system frees it when the process ends, however that comes about, so it is never stale.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._open: int | None = None

    def take(self) -> bool:
        """Take the lock, unless another process has it; DataProblem where it cannot be written."""
        try:
            found = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError as error:
            raise DataProblem(
                f"{self._path} cannot be written: {error.strerror}.",
                "Make the folder writable for you, or choose another one with --home.",
            ) from error
        try:
            _lock(found)
        except OSError:
            os.close(found)
            return False
        self._open = found
        return True

    def sign(self, holder: Holder) -> None:
        """Write down who holds the lock that was taken."""
        if self._open is None:
            raise ValueError("a lock is signed by whoever has taken it")
        os.ftruncate(self._open, 0)
        os.lseek(self._open, 0, os.SEEK_SET)
        os.write(self._open, json.dumps(asdict(holder)).encode())

    def holder(self) -> Holder | None:
        """Who signed it last; None where nobody did or it cannot be read."""
        try:
            text = self._path.read_bytes()[:_LONGEST]
            return Holder(**json.loads(text))
        except (OSError, ValueError, TypeError):
            return None

    def release(self) -> None:
        """Let go of the lock."""
        if self._open is not None:
            with contextlib.suppress(OSError):
                os.ftruncate(self._open, 0)
            os.close(self._open)
            self._open = None


def _lock(found: int) -> None:
    """Lock the open file at once; OSError where another process has it."""
    if sys.platform == "win32":
        import msvcrt

        os.lseek(found, _FAR_AWAY, os.SEEK_SET)
        msvcrt.locking(found, msvcrt.LK_NBLCK, 1)
        os.lseek(found, 0, os.SEEK_SET)
    else:
        import fcntl

        fcntl.flock(found, fcntl.LOCK_EX | fcntl.LOCK_NB)
