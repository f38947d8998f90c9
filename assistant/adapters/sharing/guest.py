"""A terminal that takes part in a round which another one holds."""

from __future__ import annotations

import contextlib
import socket
from collections.abc import Iterator
from pathlib import Path

from assistant.adapters.sharing.socket import connect
from assistant.adapters.sharing.wire import (
    VERSION,
    Join,
    Left,
    Level,
    Message,
    Over,
    Refused,
    Say,
    Told,
    Welcome,
    WireProblem,
    as_bytes,
    messages,
)
from assistant.errors import PartMissing

_PATIENCE_S = 5.0


class RoundGuest:
    """A connection to the terminal that holds the round, which has said welcome."""

    def __init__(self, connected: socket.socket, came: Iterator[Message], welcome: Welcome) -> None:
        self.welcome = welcome
        self._connected = connected
        self._came = came

    def say(self, words: str, since: int) -> None:
        """Say words in the round; its turn comes with the others.  OSError where it is gone."""
        self._connected.sendall(as_bytes(Say(words, since)))

    def told(self) -> Iterator[Told | Level | Left | Over]:
        """What happens, until it is over.

        Where the other end is gone without a word, or says what cannot be understood, it ends
        without `Left` or `Over`.
        """
        with contextlib.suppress(OSError, WireProblem):
            for message in self._came:
                if isinstance(message, Told | Level | Left | Over):
                    yield message

    def close(self) -> None:
        """Take part no longer; whoever waits in `told` is released."""
        with contextlib.suppress(OSError):
            self._connected.shutdown(socket.SHUT_RDWR)
        self._connected.close()


def join_round(path: Path, *, watches: bool = False) -> RoundGuest:
    """Join the round at the socket.

    Raises OSError where nobody is there, and PartMissing with the reason of whoever refuses.
    """
    connected = connect(path)
    try:
        connected.settimeout(_PATIENCE_S)
        connected.sendall(as_bytes(Join(VERSION, watches)))
        came = messages(connected)
        first = next(came, None)
        connected.settimeout(None)
    except OSError:
        connected.close()
        raise
    except WireProblem:
        first = Refused("It is held by another version of dosewren. Use the same one for both.")
    if isinstance(first, Welcome):
        return RoundGuest(connected, came, first)
    connected.close()
    if isinstance(first, Refused):
        raise PartMissing(f"You cannot join the round. {first.why}")
    raise ConnectionResetError("the round ended while it was joined")
