"""Answer, ask or ignore: what the evidence of the ears amounts to.  Pure.

An engine's own certainty is no verdict, so what it says is weighed by a logistic regression, which
gives a probability that can be checked (reliability table of assistant/docs/ears.md):

- the margin: how far the best request leads the next different one, in natural log units;
- the strain: how far it lies behind what the same ear hears without a grammar, for each second;
  small for a phrase of the grammar, large for other talk and for noise (a "phone loop" beside the
  grammar: Rose and Paul 1990, ICASSP, doi 10.1109/ICASSP.1990.115555, from memory);
- the lead: how far the writing ear puts the same request before any other, or behind one;
- agreement: an ear of another kind that heard the same request.

The first ear answers alone only when it is very sure.  Else the others are asked, and another bar
is put to all of them together.  A phrase that was cut off in the sound is never answered: half
a number is another number.

Fitted on 294 utterances of the development part with a reading that was not cut off, requests and
talk, by voices that no network was fitted on: the tables and the command are in docs/ears.md.
The regression of one ear is of what it hears at one pitch, which is the more careful one.  The
species' weights and the signal's level over the noise add nothing there.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from assistant.hearing.evidence import Evidence

SURE_ALONE = 0.985
"""The probability from which one ear answers by itself."""

SURE_TOGETHER = 0.95
"""The probability from which ears that agree are answered."""

FOREIGN_STRAIN = 5.0
"""The strain beyond which nothing was meant for us: of right requests 2 in 100 lie there."""

FARTHEST = 9.0
"""A larger lead tells no more: the reach of the search."""

MOST_LEAD = 3.0
"""A larger lead of the writing ear tells no more."""

SPEECHLESS = 4.0
"""The strain beyond which what the writing ear heard instead says nothing."""

LEAST_LEAD, MOST_STRAIN = 2.0, 3.0
"""How clear the writing ear must be for a question about what the ear for phones left unheard, or
hardly believes: at least this margin, and at most this strain.  Of 18 requests that were left so,
in development voices that the network had not heard, 9 were clear and 8 of them right; of 225
sentences and noises none was clear (assistant/docs/ears.md)."""

GLIMPSED = 0.8
"""How sure it is then."""


class Verdict(StrEnum):
    """What to do with an utterance."""

    ANSWER = "answer"
    ASK = "ask"
    IGNORE = "ignore"


class Second(StrEnum):
    """The other ways of hearing that may agree."""

    WRITING = "writing"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Opinions:
    """What others made of the first ear's best reading; None where nobody was asked.

    `writing` is the lead that the writing ear gives it (see `lead`), `other` whether the ear of
    another kind heard the same.
    """

    writing: float | None = None
    other: bool | None = None

    @property
    def agree(self) -> bool:
        """Whether anybody heard the same."""
        return bool((self.writing or 0.0) > 0 or self.other)


NOBODY = Opinions()
"""Only the first ear has heard the sound."""


@dataclass(frozen=True, slots=True)
class Weights:
    """The coefficients of one logistic regression."""

    constant: float
    margin: float
    strain: float
    writing: float = 0.0
    other: float = 0.0


ALONE = Weights(-0.22, 0.71, -0.80)
WITH_WRITING = Weights(1.20, 0.47, -0.77, 0.59)
WITH_BOTH = Weights(1.15, 0.44, -0.73, 0.57, 1.55)


def is_clear(evidence: Evidence) -> bool:
    """Whether one ear's evidence answers by itself, so that no other ear needs to be asked."""
    return not evidence.cut_off and probability(evidence) >= SURE_ALONE


def is_worth_naming(evidence: Evidence) -> bool:
    """Whether the writing ear's reading fits the sound well enough to be named in a question."""
    return bool(evidence.readings) and evidence.strain <= MOST_STRAIN


def is_worth_asking(evidence: Evidence) -> bool:
    """Whether the writing ear alone is clear enough for a question; for an answer it never is."""
    return is_worth_naming(evidence) and evidence.margin >= LEAST_LEAD


def is_foreign(evidence: Evidence) -> bool:
    """Whether nothing was meant for us, whatever other ears make of it."""
    return not evidence.readings or evidence.strain > FOREIGN_STRAIN


def decide(evidence: Evidence, opinions: Opinions = NOBODY) -> Verdict:
    """The verdict on an utterance, from the first ear's evidence and what others made of it."""
    if is_foreign(evidence):
        return Verdict.IGNORE
    if evidence.cut_off:
        return Verdict.ASK
    sure = opinions.agree and probability(evidence, opinions) >= SURE_TOGETHER
    return Verdict.ANSWER if is_clear(evidence) or sure else Verdict.ASK


def probability(evidence: Evidence, opinions: Opinions = NOBODY) -> float:
    """The probability from 0 to 1 that the best reading is what was said."""
    if not evidence.readings:
        return 0.0
    by = WITH_WRITING if opinions.other is None else WITH_BOTH
    by = ALONE if opinions == NOBODY else by
    score = (
        by.constant
        + by.margin * min(evidence.margin, FARTHEST)
        + by.strain * evidence.strain
        + by.writing * (opinions.writing or 0.0)
        + by.other * bool(opinions.other)
    )
    return 1 / (1 + math.exp(-score))


def lead(written: Evidence, is_it: Callable[[str], bool]) -> float:
    """How far the writing ear puts the words of which `is_it` is true before all others.

    Below nought it puts others first.  Nought is no opinion: it found nothing that fits the sound.
    """
    if not written.readings:
        return 0.0
    best, *others = written.readings
    if is_it(best.words):
        return min(written.margin, MOST_LEAD)
    if written.strain > SPEECHLESS:
        return 0.0
    behind = [best.score - one.score for one in others if is_it(one.words)]
    return -min(*behind, MOST_LEAD) if behind else -MOST_LEAD
