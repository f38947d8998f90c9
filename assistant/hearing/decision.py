"""Answer, ask or ignore: what the evidence of the ears amounts to.  Pure.

An engine's own certainty is no verdict, so what it says is weighed by a logistic regression, which
gives a probability that can be checked (reliability table of assistant/docs/ears.md):

- the margin: how far the best request leads the next different one, in natural log units;
- the strain: how far it lies behind what the same ear hears without a grammar, for each second;
  small for a phrase of the grammar, large for other talk and for noise (a "phone loop" beside the
  grammar: Rose and Paul 1990, ICASSP, doi 10.1109/ICASSP.1990.115555, from memory);
- agreement: a second way of hearing, and an ear of another kind, that heard the same request.

The first ear answers alone only when it is very sure.  Else the others are asked, and the same
bar is put to all of them together.  A phrase that was cut off in the sound is never answered: half
a number is another number.

Fitted on 709 utterances of the development part, said by voices that the network for phones had
not heard by then: of 1,350 those with a reading that were not cut off.  That was before the network
was fitted further and its search made wider, and by a script that is not in the project, so that
the coefficients are to be fitted anew.  The species' weights were tried as a further term and left
out: beside the other terms the coefficient was 0.03 for a unit of log-likelihood.
"""

from __future__ import annotations

import math
from collections.abc import Collection
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

LEAST_LEAD, MOST_STRAIN = 2.0, 3.0
"""How clear the writing ear must be for a question about what the ear for phones left unheard, or
hardly believes: at least this margin, and at most this strain.  Of 18 requests that were left so,
in development voices that the network had not heard, 9 were clear and 8 of them right; of 225
sentences and noises none was clear (assistant/docs/ears.md)."""

GLIMPSED = 0.8
"""How sure it is then."""

HARDLY = 0.1
"""The probability below which nobody is asked about a reading (conversation/heeding.py), so that a
clear one of the writing ear takes its place."""


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
class Weights:
    """The coefficients of one logistic regression; of agreement nought where nobody was asked."""

    constant: float
    margin: float
    strain: float
    writing: float = 0.0
    other: float = 0.0


ALONE = Weights(0.04, 0.54, -0.64)
WITH_WRITING = Weights(-0.67, 0.43, -0.52, 3.24)
WITH_BOTH = Weights(-0.83, 0.42, -0.48, 3.15, 1.22)


def is_clear(evidence: Evidence) -> bool:
    """Whether one ear's evidence answers by itself, so that no other ear needs to be asked."""
    return not evidence.cut_off and probability(evidence) >= SURE_ALONE


def is_worth_naming(evidence: Evidence) -> bool:
    """Whether the writing ear's reading fits the sound well enough to be named in a question."""
    return bool(evidence.readings) and evidence.strain <= MOST_STRAIN


def is_worth_asking(evidence: Evidence) -> bool:
    """Whether the writing ear alone is clear enough for a question; for an answer it never is."""
    return is_worth_naming(evidence) and evidence.margin >= LEAST_LEAD


def _is_foreign(evidence: Evidence) -> bool:
    """Whether nothing was meant for us, whatever other ears make of it."""
    return not evidence.readings or evidence.strain > FOREIGN_STRAIN


def decide(
    evidence: Evidence, asked: Collection[Second] = (), agreed: Collection[Second] = ()
) -> Verdict:
    """The verdict on an utterance, from the first ear's evidence and from who else agreed."""
    if _is_foreign(evidence):
        return Verdict.IGNORE
    if evidence.cut_off:
        return Verdict.ASK
    sure = probability(evidence, asked, agreed) >= SURE_TOGETHER
    return Verdict.ANSWER if is_clear(evidence) or (agreed and sure) else Verdict.ASK


def probability(
    evidence: Evidence, asked: Collection[Second] = (), agreed: Collection[Second] = ()
) -> float:
    """The probability from 0 to 1 that the best reading is what was said.

    `asked` are those who heard the sound too, `agreed` those of them who heard the same.
    """
    if not evidence.readings:
        return 0.0
    by = WITH_BOTH if Second.OTHER in asked else WITH_WRITING if asked else ALONE
    score = (
        by.constant
        + by.margin * min(evidence.margin, FARTHEST)
        + by.strain * evidence.strain
        + by.writing * (Second.WRITING in agreed)
        + by.other * (Second.OTHER in agreed)
    )
    return 1 / (1 + math.exp(-score))
