"""What the neural ears share: they take in a whole utterance, and only then listen to it."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING

from assistant.adapters.ears.neural_sound import LONGEST_S, SHORTEST_S
from assistant.adapters.ears.utterance_sound import UtteranceSound
from assistant.hearing.evidence import NOTHING, Evidence
from assistant.hearing.gathering import as_heard
from assistant.language.expected import ANYTHING, Expected

if TYPE_CHECKING:
    from assistant.audio import Clip
    from assistant.language.heard import Heard


class UtteranceEars(ABC):
    """An ear that is fed an utterance and hears it as a whole.

    After `finish`, `evidence` holds all that the ear can say.  The confidence in `Heard` is the
    share of the best reading, overconfident by itself: see assistant/hearing/decision.py.
    """

    def __init__(self) -> None:
        self._sound = UtteranceSound(SHORTEST_S, LONGEST_S)
        self._expected = ANYTHING
        self.evidence = NOTHING

    @property
    @abstractmethod
    def name(self) -> str:
        """The engine."""

    @abstractmethod
    def _listen(self, pcm: bytes) -> Evidence:
        """What 16-bit samples at 16 kHz tell, none of them where too much or too little came."""

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Forget what came before, and listen also for what is expected."""
        self._sound.clear()
        self._expected = expected
        self.evidence = NOTHING

    def feed(self, clip: Clip) -> None:
        """Take in a clip at 16 kHz; raises AudioProblem for another rate."""
        self._sound.add(clip)

    def finish(self) -> Heard:
        """What was said; empty words when it was nothing, too short or too long."""
        self.evidence = self._listen(self._sound.take())
        return as_heard(self.evidence.readings, self.name)
