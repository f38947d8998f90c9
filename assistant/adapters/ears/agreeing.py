"""A first ear without a score of its own: it is believed where a second one hears the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.audio import Clip
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Alternative, Heard
from assistant.language.meaning import Meaning
from assistant.ports import Ears

AGREED = 0.97
"""How sure two ears are that hear the same: they were wrong together in 0.7 % of the trials in the
study before the first line of code, and less often in talk and noise than alone."""

_RIVAL = 0.4


class AgreeingEars:
    """Two ears, both of which hear every utterance; only what both heard is answered.

    Where they differ, the first ear's words are doubtful, with the second's as the rival.
    """

    def __init__(self, first: Ears, second: Ears, meaning: Meaning) -> None:
        self._first = first
        self._second = second
        self._meaning = meaning

    @property
    def name(self) -> str:
        """The engines in use."""
        return f"{self._first.name} + {self._second.name}"

    @property
    def model(self) -> str:
        """The model of the first ear."""
        return self._first.model

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Forget what came before."""
        self._first.begin(expected)
        self._second.begin(expected)

    def feed(self, clip: Clip) -> None:
        """Take in a clip at 16 kHz; raises AudioProblem for another rate."""
        self._first.feed(clip)
        self._second.feed(clip)

    def finish(self) -> Heard:
        """What the first ear heard, and whether the second one agrees."""
        heard, other = self._first.finish(), self._second.finish()
        if not heard.words:
            return replace(heard, engine=self.name)
        if other.words and self._meaning(other.words) == self._meaning(heard.words):
            return replace(heard, confidence=AGREED, alternatives=(), engine=self.name)
        rival = (Alternative(other.words, _RIVAL),) if other.words else ()
        return replace(
            heard, doubtful=True, alternatives=(*rival, *heard.alternatives), engine=self.name
        )

    def deaf_to(self) -> Sequence[str]:
        """The words that either ear cannot hear: only what both hear is answered."""
        return sorted({*self._first.deaf_to(), *self._second.deaf_to()})
