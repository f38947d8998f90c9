"""`dosewren` and `dosewren join`: a conversation at the keyboard, held here or elsewhere."""

from __future__ import annotations

import threading
from contextlib import closing, suppress

import click

from assistant.adapters.sharing.guest import RoundGuest
from assistant.adapters.sharing.wire import Left, Level, Over, Told
from assistant.adapters.terminal.plain import folded
from assistant.adapters.terminal.typed_lines import typed_lines
from assistant.commands.sharing import (
    HeldRound,
    enter_round,
    join_held_round,
    lost_words,
    shown,
    told,
)
from assistant.language.heard import Heard
from assistant.wiring import Desk, open_desk

CAUTION = (
    "The label and your vet come first. Local rules and licensed practice decide. "
    "Say help for what I understand, goodbye to leave."
)
JOINED = (
    "You have joined a round ({holder}). What you type counts there, and what is said there is "
    "shown here. Goodbye leaves; the round goes on."
)
_NOT_LOGGED = "Nothing was written down by that. Type goodbye to leave."
_HERE = "keyboard"


def chat(home: str | None) -> None:
    """The text chat, until goodbye or the end of the input; joins a round that is open."""
    desk = open_desk(home)
    while True:
        with closing(enter_round(desk, "dosewren")) as place:
            if isinstance(place, HeldRound):
                _hold(desk, place)
                return
            if not _Guest(desk, place).chat():
                return


def join(home: str | None) -> None:
    """The text chat in a round that another window holds."""
    desk = open_desk(home)
    with closing(join_held_round(desk)) as guest:
        if not _Guest(desk, guest).chat():
            return
    chat(home)


def _hold(desk: Desk, held: HeldRound) -> None:
    session = held.session
    begun = [session.changes]

    def note() -> None:
        begun[0] = session.changes

    lines = typed_lines(_words(desk), desk.home.path / "chat-history", note)
    session.watch(
        lambda heard, turn: (
            show_other(told(heard, turn, session), _HERE) if heard.engine != _HERE else None
        )
    )
    click.echo(folded(f"{CAUTION}\n{session.greeting}"))
    while True:
        try:
            heard = Heard(lines.read())
        except EOFError:
            return
        except KeyboardInterrupt:
            click.echo(_NOT_LOGGED)
            continue
        turn = session.hear(heard, begun[0])
        click.echo(shown(told(heard, turn, session), _HERE))
        if turn.ends:
            return


def show_other(turn: Told, you: str) -> None:
    """Show what was said elsewhere, with its words, unless it gets no answer."""
    if not turn.silent:
        click.echo(f"\n{shown(turn, you)}")


class _Guest:
    """A terminal in another's round: one thread shows what happens, the other reads what is typed.

    `_shown` is what `changes` was at the last turn that this terminal showed, and `_begun` the same
    when the line that is being typed was begun.
    """

    def __init__(self, desk: Desk, guest: RoundGuest) -> None:
        self._desk = desk
        self._guest = guest
        self._you = guest.welcome.you
        self._shown = self._begun = guest.welcome.changes
        self._unanswered: str | None = None
        self._answered = threading.Event()
        self._is_over = False
        self._has_ended = False
        self._lines = typed_lines(_words(desk), desk.home.path / "chat-history", self._note)

    def chat(self) -> bool:
        """Take part until goodbye, or the end of the round or the input; whether it was lost."""
        welcome = self._guest.welcome
        click.echo(folded(JOINED.format(holder=welcome.holder)))
        if welcome.greeting:
            click.echo(folded(welcome.greeting))
        threading.Thread(target=self._listen, daemon=True).start()
        with suppress(EOFError):
            self._type()
        lost = self._has_ended and not self._is_over
        if lost:
            click.echo(folded(f"\n{lost_words(self._desk, welcome, self._unanswered)}\n"))
        return lost

    def _note(self) -> None:
        self._begun = self._shown

    def _type(self) -> None:
        while True:
            try:
                line = self._lines.read()
            except KeyboardInterrupt:
                click.echo(_NOT_LOGGED)
                continue
            self._unanswered = line
            self._answered.clear()
            with suppress(OSError):
                self._guest.say(line, self._begun)
            if self._has_ended:
                return
            self._answered.wait()

    def _listen(self) -> None:
        for message in self._guest.told():
            match message:
                case Told():
                    self._show(message)
                case Left(said) | Over(said):
                    self._is_over = True
                    click.echo(folded(said or "The round is over."))
                    break
                case Level():
                    pass
        self._has_ended = True
        self._lines.stop()
        self._answered.set()

    def _show(self, turn: Told) -> None:
        self._shown = turn.changes
        if turn.by != self._you:
            show_other(turn, self._you)
            return
        click.echo(shown(turn, self._you))
        self._unanswered = None
        self._answered.set()


def _words(desk: Desk) -> list[str]:
    """What the Tab key offers: birds, medicines, and the words of the grammar."""
    return [*desk.lexicon.aviary.spoken_names, *desk.lexicon.medicines]
