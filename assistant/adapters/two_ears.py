"""Two ears as one: the first writes under the grammar, the second is asked when it is in doubt."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from typing import Protocol

from assistant.audio import Clip
from assistant.errors import EngineUnavailable
from assistant.hearing.decision import Verdict, decide, is_clear, probability
from assistant.hearing.evidence import Evidence
from assistant.hearing.habit import eased
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Heard
from assistant.ports import Ears


class WeighedEars(Ears, Protocol):
    """An ear that leaves its evidence behind."""

    @property
    def evidence(self) -> Evidence:
        """What it can say of the last utterance."""


class TwoEars:
    """A first ear with evidence, and perhaps a second of another kind to agree with it.

    `meaning` tells whether two wordings ask for the same.  `open_second` is called at the first
    doubt, so that the first answer does not wait for it; None, or an engine that cannot be had,
    leaves one ear, which asks more often.  The confidence in `Heard` is the calibrated
    probability; `doubtful` is the verdict to ask; what is to be ignored has no words.
    `strain_habit` is the keeper's, from an enrolment, and counts only where both ears agree;
    `evidence` is as the first ear gave it.
    """

    def __init__(
        self,
        first: WeighedEars,
        open_second: Callable[[], Ears] | None,
        meaning: Callable[[str], Hashable],
        strain_habit: float = 0.0,
    ) -> None:
        self._first = first
        self._open_second = open_second
        self._second: Ears | None = None
        self._meaning = meaning
        self._strain_habit = strain_habit
        self._clips: list[Clip] = []
        self._expected = ANYTHING
        self.evidence = first.evidence

    @property
    def name(self) -> str:
        """The engines in use."""
        return f"{self._first.name} + {self._second.name}" if self._second else self._first.name

    @property
    def model(self) -> str:
        """The model of the first ear."""
        return self._first.model

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Forget what came before, and listen first for what is expected."""
        self._clips.clear()
        self._expected = expected
        self._first.begin(expected)

    def feed(self, clip: Clip) -> None:
        """Take in a clip at 16 kHz; raises AudioProblem for another rate."""
        self._first.feed(clip)
        self._clips.append(clip)

    def finish(self) -> Heard:
        """What was said, weighed."""
        heard = self._first.finish()
        self.evidence = evidence = self._first.evidence
        agrees = not is_clear(evidence) and bool(evidence.readings) and self._agrees(heard.words)
        if agrees:
            # for one ear alone other talk would pass: measured in assistant/docs/ears.md
            evidence = eased(evidence, self._strain_habit)
        sure = probability(evidence, agrees=agrees)
        match decide(evidence, agrees=agrees):
            case Verdict.IGNORE:
                return replace(heard, words="", confidence=0.0, alternatives=())
            case Verdict.ASK:
                return replace(heard, confidence=sure, doubtful=True, engine=self.name)
            case Verdict.ANSWER:
                return replace(heard, confidence=sure, alternatives=(), engine=self.name)

    def deaf_to(self) -> Sequence[str]:
        """The words that the first ear cannot hear."""
        return self._first.deaf_to()

    def _agrees(self, words: str) -> bool:
        second = self._second_ear()
        if second is None:
            return False
        second.begin(self._expected)
        for clip in self._clips:
            second.feed(clip)
        heard = second.finish()
        return bool(heard.words) and self._meaning(heard.words) == self._meaning(words)

    def _second_ear(self) -> Ears | None:
        if self._second is None and self._open_second is not None:
            try:
                self._second = self._open_second()
            except EngineUnavailable:
                # one ear is enough to go on; it asks more often
                self._open_second = None
        return self._second
