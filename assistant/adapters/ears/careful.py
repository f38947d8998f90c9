"""Several ears as one: the first hears under the grammar, others are asked when it is in doubt."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import Protocol, runtime_checkable

from assistant.adapters.ears.memory import give_back
from assistant.audio import Clip
from assistant.errors import EngineUnavailable
from assistant.hearing.decision import (
    GLIMPSED,
    NOBODY,
    Opinions,
    Second,
    Verdict,
    decide,
    is_worth_asking,
    is_worth_naming,
    lead,
    probability,
)
from assistant.hearing.evidence import Evidence
from assistant.hearing.habit import eased
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import WORTH_ASKING, Alternative, Heard
from assistant.language.meaning import Meaning
from assistant.ports import Ears


@runtime_checkable
class WeighedEars(Ears, Protocol):
    """An ear that leaves its evidence behind."""

    @property
    def evidence(self) -> Evidence:
        """What it can say of the last utterance."""


NAMED = 0.3
"""The share of belief that a rival from the writing ear stands with: enough to be named."""


@dataclass(frozen=True, slots=True)
class _Written:
    """What the writing ear heard, with its evidence."""

    heard: Heard
    evidence: Evidence


class CarefulEars:
    """A first ear with evidence, and others to agree with it, in the order in which they are asked.

    `meaning` tells whether two wordings ask for the same.  Another ear is opened at the first
    doubt or by `open_others`, so that the first answer does not wait for it; one that cannot be had
    is left out, and those that are left ask more often.  The confidence in `Heard` is the
    calibrated probability; `doubtful` is the verdict to ask; what is to be ignored has no words.
    `strain_habit` is the keeper's, from an enrolment; `evidence` is as the first ear gave it.
    """

    def __init__(
        self,
        first: WeighedEars,
        others: Mapping[Second, Callable[[], Ears]],
        meaning: Meaning,
        strain_habit: float = 0.0,
    ) -> None:
        self._first = first
        self._unopened = dict(others)
        self._others: dict[Second, Ears] = {}
        self._opening = threading.Lock()
        self._order = tuple(others)
        self._meaning = meaning
        self._strain_habit = strain_habit
        self._clips: list[Clip] = []
        self._expected = ANYTHING
        self._written: _Written | None = None
        self.evidence = first.evidence

    @property
    def name(self) -> str:
        """The engines in use."""
        return " + ".join([self._first.name, *(ear.name for ear in self._others.values())])

    @property
    def model(self) -> str:
        """The model of the first ear."""
        return self._first.model

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Forget what came before, and listen first for what is expected."""
        give_back()
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
        self.evidence = self._first.evidence
        self._written = None
        evidence, opinions = self.evidence, NOBODY
        for second in self._order:
            # nobody could change more than whether it asks, and never what was cut off
            if evidence.cut_off or decide(evidence, opinions) is not Verdict.ASK:
                break
            opinions = self._with_opinion(opinions, second, heard.words)
            # a voice's allowance counts only where another ear agrees
            evidence = eased(self.evidence, self._strain_habit) if opinions.agree else self.evidence
        sure = probability(evidence, opinions)
        match decide(evidence, opinions):
            case Verdict.IGNORE:
                return self._left_unheard(heard)
            case Verdict.ASK:
                return self._doubted(replace(heard, confidence=sure))
            case Verdict.ANSWER:
                return replace(heard, confidence=sure, alternatives=(), engine=self.name)

    def deaf_to(self) -> Sequence[str]:
        """The words that the first ear cannot hear."""
        return self._first.deaf_to()

    def _with_opinion(self, opinions: Opinions, second: Second, words: str) -> Opinions:
        """The opinions with that of one more ear; the same where there is no such ear."""
        heard = self._heard_by(second)
        if heard is None:
            return opinions
        if second is Second.OTHER:
            return replace(opinions, other=self._is_same(heard.words, words))
        if self._written is None:
            return opinions
        is_it = partial(self._is_same, words)
        return replace(opinions, writing=lead(self._written.evidence, is_it))

    def _is_same(self, one: str, other: str) -> bool:
        return bool(one and other) and self._meaning(one) == self._meaning(other)

    def _doubted(self, heard: Heard) -> Heard:
        """What to ask about, with what the writing ear heard as a rival, or in its stead."""
        written = self._written
        if written is not None and is_worth_naming(written.evidence):
            if heard.confidence < WORTH_ASKING and is_worth_asking(written.evidence):
                heard = self._beside(replace(written.heard, confidence=GLIMPSED), heard)
            elif not self._is_same(heard.words, written.heard.words):
                heard = self._beside(heard, written.heard)
        return replace(heard, doubtful=True, engine=self.name)

    def _beside(self, heard: Heard, other: Heard) -> Heard:
        """The words of one ear with those of another as the first rival; each request once."""
        found: dict[Hashable, Alternative] = {}
        for one in (Alternative(other.words, NAMED), *heard.alternatives):
            if one.words:
                found.setdefault(self._meaning(one.words), one)
        found.pop(self._meaning(heard.words), None)
        return replace(heard, alternatives=tuple(found.values()))

    def _left_unheard(self, heard: Heard) -> Heard:
        """Nothing, or what the writing ear is clear enough about for a question."""
        # what is no sound to the first ear, or a fault of the microphone, is not heard again
        if self.evidence.seconds:
            self._heard_by(Second.WRITING)
        written = self._written
        if written is None or not is_worth_asking(written.evidence):
            return replace(heard, words="", confidence=0.0, alternatives=())
        return replace(written.heard, confidence=GLIMPSED, doubtful=True, engine=self.name)

    def _heard_by(self, second: Second) -> Heard | None:
        """What another ear makes of the sound; None where there is no such ear."""
        ear = self._other(second)
        if ear is None:
            return None
        ear.begin(self._expected)
        for clip in self._clips:
            ear.feed(clip)
        heard = ear.finish()
        if second is Second.WRITING and isinstance(ear, WeighedEars):
            self._written = _Written(heard, ear.evidence)
        return heard

    def open_others(self) -> None:
        """Open the ears that are asked in doubt, from any thread, so that no doubt waits for it."""
        for second in self._order:
            self._other(second)

    def _other(self, second: Second) -> Ears | None:
        with self._opening:
            if second in self._unopened:
                with suppress(EngineUnavailable):
                    self._others[second] = self._unopened[second]()
                del self._unopened[second]
            return self._others.get(second)
