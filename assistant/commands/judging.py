"""Recordings held against what was said in them, through the real conversation."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

from assistant.audio import Clip
from assistant.conversation.turn import Status, Turn
from assistant.hearing.choosing import Fate
from assistant.language.heard import Heard
from assistant.language.meaning import meaning_in
from assistant.ports import Ears
from assistant.session import Session
from assistant.wiring import Desk


@dataclass(frozen=True, slots=True)
class Judged:
    """What ears made of a recording of `text`, and what became of that."""

    text: str
    heard: Heard
    fate: Fate


@dataclass(frozen=True, slots=True)
class _Outcome:
    meaning: Hashable
    turn: Turn
    asked: bool


class Judge:
    """Knows what typing a text leads to, and whether hearing it led there as well.

    Nothing is written in the register.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._meaning = meaning_in(desk.lexicon)
        self._typed: dict[str, _Outcome] = {}

    def judge(self, ears: Ears, clip: Clip, text: str) -> Judged:
        """Let the ears hear the clip, as an utterance of its own."""
        ears.begin()
        ears.feed(clip)
        heard = ears.finish()
        return Judged(text, heard, self.fate(heard, text))

    def fate(self, heard: Heard, text: str) -> Fate:
        """What becomes of what was heard where this was said."""
        if text not in self._typed:
            self._typed[text] = self._outcome(Heard(text))
        real, found = self._typed[text], self._outcome(heard)
        if found.turn.status is Status.IGNORED:
            return Fate.RIGHT if real.turn.status is Status.IGNORED else Fate.MISSED
        alike = (found.turn.status, found.turn.reason) == (real.turn.status, real.turn.reason)
        if alike and found.meaning == real.meaning:
            return Fate.RIGHT
        refused_alike = alike and not found.asked
        obeyed = found.turn.status in (Status.ANSWERED, Status.COMMAND)
        return Fate.WRONG if obeyed or refused_alike else Fate.ASKED

    def _outcome(self, heard: Heard) -> _Outcome:
        session: Session = self._desk.rehearsal()
        turn = session.hear(heard)
        return _Outcome(self._meaning(heard.words), turn, asked=session.state.question is not None)
