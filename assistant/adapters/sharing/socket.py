"""The private socket by which terminals of one machine and one user join a round."""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import struct
import tempfile
from pathlib import Path

JOINABLE = hasattr(socket, "AF_UNIX")
"""Whether this system has such sockets for Python; Windows has not."""

_LONGEST_PATH = 100
"""Bytes that every system takes for the path of a socket (Linux 108, macOS 104, with the end)."""

_CREDENTIALS = struct.Struct("3i")
"""The process, user and group at the other end, as Linux tells them (`man 7 unix`)."""


class PrivateSocket:
    """A listening socket that only its owner can open.

    It lies in the home; where that path is too long or the disk has no sockets, in a folder of its
    own for temporary files.  Raises OSError where neither will do.
    """

    def __init__(self, home: Path) -> None:
        self._folder: Path | None = None
        path = home / "round.sock"
        try:
            self.listening = _bound(path)
        except OSError:
            self._folder = Path(tempfile.mkdtemp(prefix="dosewren-"))
            path = self._folder / "round.sock"
            self.listening = _bound(path)
        self.path = path

    def close(self) -> None:
        """Stop listening, and leave nothing behind."""
        # a thread that waits in accept is not woken by close alone
        with contextlib.suppress(OSError):
            self.listening.shutdown(socket.SHUT_RDWR)
        self.listening.close()
        self.path.unlink(missing_ok=True)
        if self._folder is not None:
            shutil.rmtree(self._folder, ignore_errors=True)


def _bound(path: Path) -> socket.socket:
    if len(os.fsencode(path)) > _LONGEST_PATH:
        raise OSError("the path is too long for a socket")
    path.unlink(missing_ok=True)
    made = socket.socket(socket.AF_UNIX)
    try:
        made.bind(str(path))
        # nobody can connect before it listens, so that it is private from the first moment
        path.chmod(0o600)
        made.listen()
    except OSError:
        made.close()
        raise
    return made


def connect(path: Path) -> socket.socket:
    """A connection to the socket at the path; raises OSError, also where it is another user's."""
    made = socket.socket(socket.AF_UNIX)
    try:
        made.connect(str(path))
        if not is_same_user(made):
            raise PermissionError(f"{path} belongs to another user")
    except OSError:
        made.close()
        raise
    return made


def is_same_user(connected: socket.socket) -> bool:
    """Whether the other end runs as this user; a system that cannot tell relies on the mode."""
    option = getattr(socket, "SO_PEERCRED", None)
    if option is None:
        return True
    told = connected.getsockopt(socket.SOL_SOCKET, option, _CREDENTIALS.size)
    _, user, _ = _CREDENTIALS.unpack(told)
    return bool(user == os.geteuid())
