"""One conversation with its register: takes what was heard, and keeps a row before it answers."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.conversation.drafting import round_question
from assistant.conversation.expecting import expected
from assistant.conversation.machine import step, unguarded, unwritten
from assistant.conversation.state import Dosed, Setting, opening
from assistant.conversation.turn import Turn
from assistant.errors import RegisterProblem
from assistant.language.expected import Expected
from assistant.language.heard import Heard
from assistant.ports import Clock, Register


class Session:
    """A conversation that remembers and keeps.

    A turn is given out only when its rows are safe on disk; where they cannot be written, the
    turn says so, and the end of a dose is refused.  Without `dosed` (None: the register could not
    be read) every dose says that the guard against double doses is off.
    """

    def __init__(
        self,
        setting: Setting,
        register: Register,
        clock: Clock,
        dosed: Mapping[tuple[str, str], Dosed] | None,
    ) -> None:
        self.setting = setting
        self._register = register
        self._clock = clock
        self._dosed = dosed
        self.state = opening(setting, dosed or {})

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
        before = self.state
        after, turn = step(before, heard, self.setting, self._clock.now())
        try:
            self._register.append(turn.entries)
        except RegisterProblem:
            after, turn = unwritten(before, after, turn)
        else:
            turn = unguarded(turn) if self._dosed is None else turn
        self.state = after
        return turn
