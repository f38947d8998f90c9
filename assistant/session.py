"""One conversation with its register: takes what was heard, and keeps a row before it answers."""

from __future__ import annotations

import threading

from assistant.conversation.drafting import round_question
from assistant.conversation.expecting import expected
from assistant.conversation.machine import step, unguarded, unwritten
from assistant.conversation.state import Setting, caught_up, opening
from assistant.conversation.turn import Turn
from assistant.errors import RegisterProblem
from assistant.language.expected import Expected
from assistant.language.heard import Heard
from assistant.ports import Clock, Register


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
        self.state = opening(setting)

    @property
    def greeting(self) -> str:
        """What is said before anything is asked: the medicine and the needle, to be confirmed."""
        return round_question(self.state)

    @property
    def expected(self) -> Expected:
        """What is likely to be said next, for the ears to listen for."""
        return expected(self.state, self.setting)

    def hear(self, heard: Heard) -> Turn:
        """The turn that an utterance leads to."""
        with self._one_at_a_time:
            return self._take(heard, guarded=self._catches_up())

    def _take(self, heard: Heard, *, guarded: bool) -> Turn:
        before = self.state
        after, turn = step(before, heard, self.setting, self._clock.now())
        try:
            self._register.append(turn.entries)
        except RegisterProblem:
            self._on_paper = True
            after, turn = unwritten(before, after, turn)
        else:
            turn = turn if guarded else unguarded(turn)
        self.state = after
        return turn

    def _catches_up(self) -> bool:
        """Whether the register could tell of all doses, also of those that others wrote."""
        try:
            dosings = self._register.dosed_since(self._mark)
        except RegisterProblem:
            return False
        self._mark = dosings.mark
        self.state = caught_up(self.state, dosings, on_paper=self._on_paper)
        return True
