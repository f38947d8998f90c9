"""Answer, ask or ignore: what the evidence of one or two ears amounts to.  Pure.

An engine's own certainty is no verdict: on the bench's development part the neural ear gave 1.3 %
wrong requests a share above 0.9.  Three things are weighed instead, each with a line drawn on the
development part of the bench (assistant/docs/acoustic-bench.md), never on its test part:

- the margin: how far the best request leads the next different one, in natural log units;
- the strain: how far it lies behind what the ear writes when it may write anything, for each
  second; small for a phrase of the grammar, large for other talk and for noise;
- agreement: an ear of another kind that heard the same request.

A margin alone answers when it is wide; a narrower one needs agreement; the rest is asked about.
Two ears that fail alike are rare: in the study before the first line of code they were wrong
together in 0.7 % of the trials.  The strain of 99 in 100 right requests was below 6.7 log units a
second, that of 95 in 100 utterances of other talk above 6.8 (development part, size quick).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from assistant.hearing.evidence import Evidence

WIDE_MARGIN = 4.0
"""A lead that answers by itself: the next request has less than a fiftieth of the belief."""

NARROW_MARGIN = 1.5
"""The least lead that answers when a second ear agrees."""

LITTLE_STRAIN = 4.5
"""The strain up to which a wide margin answers by itself, in log units for each second."""

SHARED_STRAIN = 7.0
"""The strain up to which two ears that agree are answered."""

FOREIGN_STRAIN = 7.5
"""The strain beyond which nothing was meant for us."""

_FARTHEST = 12.0


class Verdict(StrEnum):
    """What to do with an utterance."""

    ANSWER = "answer"
    ASK = "ask"
    IGNORE = "ignore"


@dataclass(frozen=True, slots=True)
class Weights:
    """The coefficients of the probability: a logistic regression on what is weighed here.

    Fitted on 538 utterances of the bench's development part, size quick: dose requests, commands
    and other talk.
    """

    constant: float = 0.65
    margin: float = 0.35
    strain: float = -0.49
    agrees: float = 2.9


def is_clear(evidence: Evidence) -> bool:
    """Whether one ear's evidence answers by itself, so that no second ear needs to be asked."""
    return evidence.margin >= WIDE_MARGIN and evidence.strain <= LITTLE_STRAIN


def decide(evidence: Evidence, *, agrees: bool) -> Verdict:
    """The verdict on an utterance; `agrees` is whether a second ear heard the same request."""
    if not evidence.readings:
        return Verdict.IGNORE
    agreed = agrees and evidence.margin >= NARROW_MARGIN and evidence.strain <= SHARED_STRAIN
    if is_clear(evidence) or agreed:
        return Verdict.ANSWER
    return Verdict.ASK if evidence.strain <= FOREIGN_STRAIN else Verdict.IGNORE


def probability(evidence: Evidence, *, agrees: bool, weights: Weights | None = None) -> float:
    """The probability from 0 to 1 that the best reading is what was said."""
    if not evidence.readings:
        return 0.0
    by = weights or Weights()
    score = (
        by.constant
        + by.margin * min(evidence.margin, _FARTHEST)
        + by.strain * evidence.strain
        + by.agrees * agrees
    )
    return 1 / (1 + math.exp(-score))
