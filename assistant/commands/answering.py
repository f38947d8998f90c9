"""`dosewren ask`: typed phrases answered, once or as one conversation."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import closing, suppress
from queue import SimpleQueue

import click

from assistant.adapters.sharing.guest import RoundGuest
from assistant.adapters.sharing.wire import Left, Over, Told
from assistant.adapters.terminal.answer_lines import answer_object, as_line
from assistant.commands.sharing import HeldRound, enter_round, lost_words
from assistant.conversation.turn import Turn
from assistant.errors import PartMissing
from assistant.language.heard import Heard
from assistant.session import Session
from assistant.wiring import Desk, open_desk

_LONGEST_LINE = 65_536
"""What is longer is cut off a line: no phrase is a hundredth of it."""


def ask_once(home: str | None, phrase: str, *, as_json: bool) -> None:
    """Answer one phrase at once, as for a dry needle."""
    session = open_desk(home).session(one_shot=True)
    heard = Heard(phrase)
    _show(heard, session.hear(heard), as_json=as_json)


def ask_lines(home: str | None, *, as_json: bool) -> None:
    """Answer each line of the standard input, as one conversation; no input at all gets a reply.

    Where a round is open in another window, the lines are said there.
    """
    desk = open_desk(home)
    with closing(enter_round(desk, "dosewren ask -")) as place:
        if isinstance(place, HeldRound):
            _answer_lines(place.session, as_json=as_json)
        else:
            _ask_in_round(desk, place, as_json=as_json)


def _answer_lines(session: Session, *, as_json: bool) -> None:
    click.echo(session.greeting, err=True)
    changes = session.changes
    for line in _lines():
        heard = Heard(line)
        _show(heard, session.hear(heard, changes), as_json=as_json)
        changes = session.changes


def _ask_in_round(desk: Desk, guest: RoundGuest, *, as_json: bool) -> None:
    """Say each line in the round that another window holds; only its own turns are answers."""
    click.echo(f"Joined a round ({guest.welcome.holder}). {guest.welcome.greeting}", err=True)
    own: SimpleQueue[Told | Left | Over | None] = SimpleQueue()
    threading.Thread(target=_collect, args=(guest, own), daemon=True).start()
    changes = guest.welcome.changes
    for line in _lines():
        with suppress(OSError):
            guest.say(line, changes)
        match own.get():
            case Told() as turn:
                click.echo(turn.answer if as_json else turn.shown)
                changes = turn.changes
            case Left(said):
                click.echo(said, err=True)
                return
            case Over(said):
                raise PartMissing(f"The round is over. {said}", f"Not taken: “{line}”.")
            case None:
                raise PartMissing(lost_words(desk, guest.welcome, line))


def _collect(guest: RoundGuest, own: SimpleQueue[Told | Left | Over | None]) -> None:
    """Read all that is told, so that nobody waits for this terminal, and keep its own turns."""
    for message in guest.told():
        if isinstance(message, Left | Over) or (
            isinstance(message, Told) and message.by == guest.welcome.you
        ):
            own.put(message)
    own.put(None)


def _lines() -> Iterator[str]:
    """Each line, the last one also without its end; an empty one where there is no input at all."""
    source = sys.stdin.buffer
    line = source.readline(_LONGEST_LINE)
    if not line:
        yield ""
    while line:
        yield line.decode("utf-8", errors="replace").rstrip("\r\n")
        while not line.endswith(b"\n") and line:
            line = source.readline(_LONGEST_LINE)
        line = source.readline(_LONGEST_LINE)


def _show(heard: Heard, turn: Turn, *, as_json: bool) -> None:
    click.echo(as_line(answer_object(heard, turn)) if as_json else turn.reply.for_eye)
