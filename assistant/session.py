"""One conversation with its register: takes what was heard, and keeps a row before it answers."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta

from assistant.conversation.ahead import asks_what_is_due
from assistant.conversation.cutting import cut_short, vital_length, voiced
from assistant.conversation.ending import opening_words
from assistant.conversation.entries import DoseEntry
from assistant.conversation.expecting import expected
from assistant.conversation.foreseeing import foreseen
from assistant.conversation.machine import step, unguarded, unwritten
from assistant.conversation.moment import Moment
from assistant.conversation.overtaking import not_taken, referred_to, stands_alone
from assistant.conversation.pot import offered, stocked
from assistant.conversation.returning import returned
from assistant.conversation.state import Setting, caught_up, opening
from assistant.conversation.turn import Manner, Reply, Turn
from assistant.errors import RegisterProblem
from assistant.language.expected import Expected
from assistant.language.heard import Channel, Heard
from assistant.ports import Clock, Register
from assistant.stock.moves import Move

UNKNOWN_MARK = -1
"""The mark of no register: what is in it is read again."""

Watcher = Callable[[Heard, Turn], None]


class Session:
    """A conversation that remembers and keeps.

    A turn is given out only when its rows are safe on disk; where they cannot be written, the
    turn says so, and the end of a dose is refused.  Before each turn it reads what others wrote of
    full doses since the last; while it cannot, every dose says that the guard against double doses
    is off.  It may be spoken to from any thread, and takes one turn after the other.
    """

    def __init__(self, setting: Setting, register: Register, clock: Clock) -> None:
        self.setting = setting
        self._register = register
        self._clock = clock
        self._mark = 0
        self._on_paper = False
        self._one_at_a_time = threading.Lock()
        self._watchers: tuple[Watcher, ...] = ()
        self.changes = 0
        """How often that has changed which short answers refer to."""
        self._stock_mark = 0
        self.state = opening(setting, self._left_open())
        self._catches_up()

    @property
    def greeting(self) -> str:
        """What is asked first: a dose that was left open, or the medicine and the needle."""
        return opening_words(self.state)

    @property
    def expected(self) -> Expected:
        """What is likely to be said next, for the ears to listen for."""
        return expected(self.state, self.setting)

    def watch(self, watcher: Watcher) -> None:
        """Tell the watcher of every turn from now on, in their order, from whichever thread.

        It must neither take long nor speak to the session.
        """
        self._watchers = (*self._watchers, watcher)

    def hear(self, heard: Heard, since: int | None = None) -> Turn:
        """The turn that an utterance leads to.

        `since` is what `changes` was when the utterance was begun.  Where another channel has
        changed since then what its words refer to, they are not taken.
        """
        with self._one_at_a_time:
            guarded = self._catches_up()
            self._looks_ahead(heard)
            overtaken = since is not None and since != self.changes
            turn = self._take(heard, guarded=guarded, overtaken=overtaken)
            for watcher in self._watchers:
                watcher(heard, turn)
            return turn

    def vital(self, reply: Reply) -> int:
        """How many characters of a reply must be out before the keeper may act on it."""
        return vital_length(reply.said, self.state)

    def cut_short(self, reply: Reply) -> None:
        """A reply was stopped before what is vital in it was out."""
        with self._one_at_a_time:
            self.state = cut_short(self.state, reply)

    def voiced(self, reply: Reply) -> None:
        """What is vital in a reply was heard."""
        with self._one_at_a_time:
            self.state = voiced(self.state, reply)

    def returned(self, away_s: float) -> Turn:
        """What to say when the microphone was gone for so many seconds; a note of it is kept."""
        with self._one_at_a_time:
            moment = Moment(self.setting, self._clock.now(), None)
            self.state, turn = returned(self.state, moment, timedelta(seconds=away_s))
            # the round goes on without the note, and the next turn says that nothing is written
            with suppress(RegisterProblem):
                self._register.append(turn.entries)
            for watcher in self._watchers:
                watcher(Heard("", channel=Channel.VOICE), turn)
            return turn

    @property
    def foreseen(self) -> Sequence[str]:
        """Sentences with which the next replies may begin."""
        return foreseen(self.state)

    @property
    def manner(self) -> Manner:
        """How to talk from now on."""
        return self.state.manner

    def _take(self, heard: Heard, *, guarded: bool, overtaken: bool) -> Turn:
        before = self.state
        after, turn = step(before, heard, self.setting, self._clock.now())
        if overtaken and not turn.silent and not stands_alone(heard, self.setting):
            after, turn = not_taken(before, turn)
        try:
            self._register.append(turn.entries)
            # those that this session wrote are in its books already
            self._stock_mark += sum(isinstance(entry, Move) for entry in turn.entries)
        except RegisterProblem:
            self._on_paper = True
            self._stock_mark = UNKNOWN_MARK
            after, turn = unwritten(before, after, turn)
        else:
            turn = turn if guarded else unguarded(turn)
        self.changes += referred_to(before) != referred_to(after)
        self.state = after
        return turn

    def _left_open(self) -> Sequence[DoseEntry]:
        """What earlier rounds left open; nothing where the register cannot say, as it tells."""
        if self.setting.one_shot:
            return ()
        try:
            return self._register.left_open()
        except RegisterProblem:
            return ()

    def _looks_ahead(self, heard: Heard) -> None:
        """Read what is due, but only where that is asked: it is a look over weeks of doses."""
        if not asks_what_is_due(heard, self.setting):
            return
        try:
            windows = self._register.windows(self.setting.medicines, self._clock.now().date())
        except RegisterProblem:
            self.state = replace(self.state, windows=None)
        else:
            self.state = replace(self.state, windows=windows)

    def _catches_up(self) -> bool:
        """Whether the register could tell of all doses, also of those that others wrote."""
        try:
            dosings = self._register.dosed_since(self._mark)
            self._take_stock()
        except RegisterProblem:
            return False
        self._mark = dosings.mark
        self.state = caught_up(self.state, dosings, on_paper=self._on_paper)
        return True

    def _take_stock(self) -> None:
        """Take in what others made, measured or drew, and offer what is good now."""
        if self.setting.one_shot:
            return
        shelf, now = self._register.shelf_since(self._stock_mark), self._clock.now()
        self._stock_mark = shelf.mark
        if shelf.books is None:
            self.state = offered(self.state, now)
        else:
            self.state = stocked(self.state, shelf.books, now)
