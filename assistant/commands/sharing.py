"""One round in a home at a time: held by one terminal, joined by the others."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import click

from assistant.adapters.sharing.guest import RoundGuest, join_round
from assistant.adapters.sharing.host import RoundHost
from assistant.adapters.sharing.lock import Holder, RoundLock
from assistant.adapters.sharing.socket import JOINABLE, PrivateSocket
from assistant.adapters.sharing.wire import Left, Level, Told, Welcome
from assistant.adapters.system_clock import SystemClock
from assistant.adapters.terminal.answer_lines import answer_object, as_line
from assistant.adapters.terminal.plain import coloured_text, drawn_syringe, folded, printable
from assistant.conversation.glance import glance
from assistant.conversation.sentences import what
from assistant.conversation.turn import Status, Turn
from assistant.errors import DataProblem, PartMissing, RegisterProblem
from assistant.language.heard import Channel, Heard
from assistant.language.requests import Plain
from assistant.language.understanding import understand
from assistant.session import Session
from assistant.wiring import Desk

_PATIENCE_S = 3.0
_PAUSE_S = 0.1


class HeldRound:
    """A round that this process holds: no other process has one in this home.

    `session` is its conversation; what is said in it, here or by a guest, is told to every guest.
    """

    def __init__(self, session: Session, lock: RoundLock | None, holder: Holder) -> None:
        self.session = session
        self._lock = lock
        self._holder = holder
        self._host: RoundHost | None = None
        self._followers: list[Callable[[Told | Level], None]] = []
        self._parting = ""
        session.watch(self._tell)

    @property
    def welcome(self) -> Welcome:
        """How the round stands, as a guest is told when it comes."""
        return SharedConversation(self.session, self._holder).welcome("")

    def open(self, private: PrivateSocket) -> None:
        """Let others join."""
        self._host = RoundHost(private, SharedConversation(self.session, self._holder))
        self.follow(self._host.tell)

    def follow(self, follower: Callable[[Told | Level], None]) -> None:
        """Tell somebody in this process the same as the guests that watch."""
        self._followers.append(follower)

    def tell_level(self, level: Level) -> None:
        """Tell the guests that watch what the talk loop does."""
        self._tell_all(level)

    def _tell(self, heard: Heard, turn: Turn) -> None:
        self._tell_all(told(heard, turn, self.session))
        if turn.ends:
            self._parting = turn.reply.said

    def _tell_all(self, message: Told | Level) -> None:
        for follower in self._followers:
            follower(message)

    def close(self) -> None:
        """Tell the guests that it is over, and let another process have the next one."""
        if self._host is not None:
            self._host.close(self._parting)
        if self._lock is not None:
            self._lock.release()


@dataclass(frozen=True, slots=True)
class SharedConversation:
    """A session as its guests meet it."""

    session: Session
    holder: Holder

    def welcome(self, you: str) -> Welcome:
        """How it stands."""
        session = self.session
        return Welcome(
            you=you,
            holder=self.holder.said,
            round_id=session.setting.round_id,
            greeting="" if session.state.begun else session.greeting,
            glance=glance(session.state),
            changes=session.changes,
        )

    def say(self, words: str, since: int, by: str) -> Left | None:
        """Take in what a guest says.  A guest's goodbye ends nobody else's round."""
        meant = understand(words, self.session.setting.lexicon)
        if meant.requests == (Plain("goodbye"),) and not meant.doubt:
            return Left("You have left. The round goes on in the other window.")
        self.session.hear(Heard(words, engine=by), since)
        return None


def told(heard: Heard, turn: Turn, session: Session) -> Told:
    """A turn as guests are told of it."""
    dose = turn.facts.dose
    return Told(
        by=heard.engine if heard.channel is Channel.TEXT else Channel.VOICE.value,
        heard=heard.words,
        status=turn.status.value,
        silent=turn.silent,
        said=turn.reply.said,
        shown=turn.reply.for_eye,
        syringe=drawn_syringe(dose) if dose else "",
        answer=as_line(answer_object(heard, turn)),
        glance=glance(session.state),
        changes=session.changes,
    )


def shown(turn: Told, you: str) -> str:
    """A turn for the eye; what others said comes with their words."""
    parts = [coloured_text(printable(turn.shown), Status(turn.status)), turn.syringe]
    if turn.by != you:
        how = "heard" if turn.by == Channel.VOICE.value else "typed elsewhere"
        parts.insert(0, f"“{printable(turn.heard)}” ({how})")
    return "\n".join(part for part in parts if part)


def enter_round(desk: Desk, command: str) -> HeldRound | RoundGuest:
    """Hold the round of this home, or join whoever does.

    Raises PartMissing where it is held and cannot be joined.
    """
    return _held(desk, command) or _joined(desk, command)


def hold_round(desk: Desk, command: str) -> HeldRound:
    """Hold the round of this home; raises PartMissing where another process does."""
    held = _held(desk, command)
    if held is None:
        raise PartMissing(
            f"A round is open already ({_holder(desk)}). Two at once on the same register could "
            "give a bird two doses.",
            "Type into that one with: dosewren join. Or end it there, and run this again.",
        )
    return held


def join_held_round(desk: Desk, *, watches: bool = False) -> RoundGuest:
    """Join the round of this home; raises PartMissing where there is none to join."""
    with contextlib.suppress(OSError):
        return _guest(desk, watches=watches)
    if _is_held(desk):
        raise _not_joinable(desk)
    raise PartMissing("No round is open here.", "Begin one with: dosewren, or dosewren talk.")


def lost_words(desk: Desk, welcome: Welcome, unanswered: str | None) -> str:
    """What a guest is told when the round's holder is gone: what the register has of it."""
    lines = ["The window that held the round is gone. What it answered is in the register."]
    try:
        rows = desk.register.exchanges(last=50)
        doses = desk.register.doses(last=1)
    except RegisterProblem as problem:
        return f"{lines[0]} It cannot be read: {problem.problem}"
    if unanswered is not None:
        mine = [
            row.reply
            for row in rows
            if (row.round_id, row.engine, row.heard) == (welcome.round_id, welcome.you, unanswered)
        ]
        lines.append(
            f"“{unanswered}” was written down: {mine[-1]}"
            if mine
            else f"“{unanswered}” was not written down: say it again."
        )
    if doses and doses[0].end is None and doses[0].said.round_id == welcome.round_id:
        lines.append(f"Still open there: {what(doses[0].said)}.")
    return "\n".join(lines)


def _lock(desk: Desk) -> RoundLock:
    return RoundLock(desk.home.path / "round.lock")


def _is_held(desk: Desk) -> bool:
    lock = _lock(desk)
    taken = lock.take()
    lock.release()
    return not taken


def _held(desk: Desk, command: str) -> HeldRound | None:
    """The round, unless another process has it."""
    lock = _lock(desk)
    holder = Holder(os.getpid(), command, f"{SystemClock().now():%H:%M}")
    try:
        if not lock.take():
            return None
    except DataProblem as problem:
        # the register says with each answer that it cannot be written; this round is lived alone
        click.echo(f"No other window can join this round: {problem.problem}", err=True)
        return HeldRound(desk.session(), None, holder)
    held = HeldRound(desk.session(), lock, holder)
    private = _private_socket(desk)
    if private is None:
        lock.sign(holder)
        return held
    held.open(private)
    lock.sign(Holder(holder.process, holder.command, holder.since, str(private.path)))
    return held


def _private_socket(desk: Desk) -> PrivateSocket | None:
    if not JOINABLE:
        return None
    try:
        return PrivateSocket(desk.home.path)
    except OSError as error:
        click.echo(folded(f"No other window can join this round: {error}"), err=True)
        return None


def _joined(desk: Desk, command: str) -> HeldRound | RoundGuest:
    """The round as a guest's; its holder may be about to open the door, or to leave."""
    end = time.monotonic() + _PATIENCE_S
    while time.monotonic() < end:
        with contextlib.suppress(OSError):
            return _guest(desk, watches=False)
        if held := _held(desk, command):
            return held
        time.sleep(_PAUSE_S)
    raise _not_joinable(desk)


def _guest(desk: Desk, *, watches: bool) -> RoundGuest:
    holder = _lock(desk).holder()
    if holder is None or not holder.socket:
        raise ConnectionRefusedError("nobody opened a door")
    return join_round(Path(holder.socket), watches=watches)


def _holder(desk: Desk) -> str:
    holder = _lock(desk).holder()
    return holder.said if holder else "in another window"


def _not_joinable(desk: Desk) -> PartMissing:
    why = "" if JOINABLE else " On this system a second window cannot join a round."
    return PartMissing(
        f"A round is open already ({_holder(desk)}), and it does not answer.{why}",
        "Go on in that window; or end it there, and run this again.",
    )
