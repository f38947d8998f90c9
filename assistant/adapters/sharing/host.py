"""The terminal that holds a round: lets others of the same user take part in it."""

from __future__ import annotations

import contextlib
import itertools
import logging
import queue
import socket
import threading
from collections.abc import Iterator
from typing import Protocol

from assistant.adapters.sharing.socket import PrivateSocket, is_same_user
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

_MOST_GUESTS = 8
_PATIENCE_S = 5.0
"""How long a guest may take to say who it is, or to take what it is told."""

_UNTAKEN = 200
"""Messages that a guest may be behind: one that reads no more is let go, and holds nobody up."""

_log = logging.getLogger(__name__)


class Conversation(Protocol):
    """The round, as its host knows it."""

    def welcome(self, you: str) -> Welcome:
        """How it stands."""

    def say(self, words: str, since: int, by: str) -> Left | None:
        """Take in what a guest says; its turn is told to everybody.  Left where it said goodbye."""


class RoundHost:
    """Guests come and go while it is open; each has a thread that reads and one that writes."""

    def __init__(self, private: PrivateSocket, conversation: Conversation) -> None:
        self._private = private
        self._conversation = conversation
        self._guests: set[_Guest] = set()
        self._changing = threading.Lock()
        threading.Thread(target=self._receive, name="round", daemon=True).start()

    def tell(self, message: Told | Level | Over) -> None:
        """Tell every guest, without waiting for any."""
        with self._changing:
            guests = tuple(self._guests)
        for guest in guests:
            if guest.watches or not isinstance(message, Level):
                guest.tell(message)

    def close(self, said: str) -> None:
        """Tell every guest that the round is over, and let them go."""
        self._private.close()
        self.tell(Over(said))
        with self._changing:
            guests = tuple(self._guests)
        for guest in guests:
            guest.part()

    def _receive(self) -> None:
        for number in itertools.count(2):
            try:
                connected, _ = self._private.listening.accept()
            except OSError:
                return
            target = self._serve
            threading.Thread(target=target, args=(connected, number), daemon=True).start()

    def _serve(self, connected: socket.socket, number: int) -> None:
        with contextlib.closing(connected), contextlib.suppress(OSError):
            connected.settimeout(_PATIENCE_S)
            came = messages(connected)
            try:
                guest = self._admitted(connected, next(came, None), f"keyboard {number}")
                if guest is None:
                    return
                connected.settimeout(None)
                self._attend(guest, came)
            except WireProblem as problem:
                _log.warning("a guest of the round was let go: %s", problem.problem)
                connected.sendall(as_bytes(Refused(problem.problem)))

    def _admitted(
        self, connected: socket.socket, first: Message | None, name: str
    ) -> _Guest | None:
        refusal = self._refusal(connected, first)
        if refusal or not isinstance(first, Join):
            connected.sendall(as_bytes(Refused(refusal)))
            return None
        guest = _Guest(connected, name, watches=first.watches)
        with self._changing:
            # welcomed before it can be told of a turn, and told of every turn after that
            guest.tell(self._conversation.welcome(name))
            self._guests.add(guest)
        return guest

    def _refusal(self, connected: socket.socket, first: Message | None) -> str:
        if not is_same_user(connected):
            return "This round belongs to another user of this machine."
        if not isinstance(first, Join) or first.version != VERSION:
            return "The round is held by another version of dosewren. Use the same one for both."
        if len(self._guests) >= _MOST_GUESTS:
            return f"{_MOST_GUESTS} other windows take part already. Close one of them first."
        return ""

    def _attend(self, guest: _Guest, came: Iterator[Message]) -> None:
        try:
            for message in came:
                if not isinstance(message, Say):
                    raise WireProblem("Something that no guest says came in.")
                left = self._conversation.say(message.words, message.since, guest.name)
                if left:
                    guest.tell(left)
                    return
        finally:
            with self._changing:
                self._guests.discard(guest)
            guest.part()


class _Guest:
    """One guest's name, and what it has yet to be told."""

    def __init__(self, connected: socket.socket, name: str, *, watches: bool) -> None:
        self.name = name
        self.watches = watches
        self._connected = connected
        self._untold: queue.Queue[Message | None] = queue.Queue(_UNTAKEN)
        self._writer = threading.Thread(target=self._write, daemon=True)
        self._writer.start()

    def tell(self, message: Message) -> None:
        try:
            self._untold.put_nowait(message)
        except queue.Full:
            self._hang_up()

    def part(self) -> None:
        """Let go once everything was told."""
        with contextlib.suppress(queue.Full):
            self._untold.put_nowait(None)
        self._writer.join(1.0)
        self._hang_up()

    def _write(self) -> None:
        with contextlib.suppress(OSError):
            while message := self._untold.get():
                self._connected.sendall(as_bytes(message))

    def _hang_up(self) -> None:
        with contextlib.suppress(OSError):
            self._connected.shutdown(socket.SHUT_RDWR)
