"""The one place that knows every adapter and puts them together.

Audio and speech libraries are imported only by the functions that need them, so that text mode
loads none of them.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Mapping
from dataclasses import dataclass

from assistant.adapters.grammar_file import grammar_text
from assistant.adapters.home import Holding, Home, locate
from assistant.adapters.register import SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.conversation.state import Dosed, Setting
from assistant.errors import RegisterProblem
from assistant.language.lexicon import Lexicon, build
from assistant.session import Session

GRAMMAR = "dosewren.jsgf"
PRONUNCIATIONS = "pronunciations.dict"


@dataclass(frozen=True)
class Desk:
    """A keeper's home opened: its files read, its register at hand, its words in the grammar."""

    home: Home
    holding: Holding
    register: SqliteRegister
    lexicon: Lexicon

    def session(self, *, one_shot: bool = False) -> Session:
        """A conversation of its own."""
        setting = Setting(
            lexicon=self.lexicon,
            kit=self.holding.kit,
            medicines=self.holding.medicines,
            usual=self.holding.usual_medicine,
            round_id=uuid.uuid4().hex[:12],
            one_shot=one_shot,
        )
        return Session(setting, self.register, SystemClock(), self._dosed())

    def _dosed(self) -> Mapping[tuple[str, str], Dosed] | None:
        """The last full doses; None where the register cannot be read, which the session says."""
        try:
            last = self.register.last_doses()
        except RegisterProblem:
            return None
        return {
            key: Dosed(kept.ended_at or kept.said.at, kept.said.volume_ml)
            for key, kept in last.items()
        }


def open_home(given: str | None) -> Home:
    """The keeper's home, from the option, the environment or the default."""
    return locate(given, os.environ)


def open_desk(given: str | None) -> Desk:
    """The keeper's home, read and checked; raises AssistantError with what to mend."""
    home = open_home(given)
    holding = home.holding()
    lexicon = build(grammar_text(GRAMMAR), holding.aviary, holding.medicines)
    return Desk(home, holding, SqliteRegister(home.register_file), lexicon)
