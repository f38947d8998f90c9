"""Answer, ask or ignore: what the evidence of one or two ears amounts to.  Pure.

An engine's own certainty is no verdict: on the bench's development part the neural ear gave 1.3 %
wrong requests a share above 0.9.  Three things are weighed instead, each with a line drawn on the
development part of the bench (assistant/docs/acoustic-bench.md), never on its test part:

- the margin: how far the best request leads the next different one, in natural log units;
- the gap: how far it lies behind what the ear writes when it may write anything, which is small for
  a phrase of the grammar and large for other talk and for noise;
- agreement: an ear of another kind that heard the same request.

A margin alone answers when it is wide; a narrower one needs agreement; the rest is asked about.
Two ears that fail alike are rare: in the study before the first line of code they were wrong
together in 0.7 % of the trials.
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

LIKE_SPEECH_GAP = 30.0
"""A gap up to which a wide margin counts; beyond it the words hardly fit the sound."""

FOREIGN_GAP = 45.0
"""A gap beyond which nothing was meant for us."""

_FARTHEST = 12.0


class Verdict(StrEnum):
    """What to do with an utterance."""

    ANSWER = "answer"
    ASK = "ask"
    IGNORE = "ignore"


@dataclass(frozen=True, slots=True)
class Weights:
    """The coefficients of the probability: a logistic regression on what is weighed here.

    Fitted by assistant/bench/acoustic on its development part.  `gap` is for each 10 log units.
    """

    constant: float = -1.2
    margin: float = 0.35
    gap: float = -0.35
    agrees: float = 2.3


def is_clear(evidence: Evidence) -> bool:
    """Whether one ear's evidence answers by itself, so that no second ear needs to be asked."""
    return evidence.margin >= WIDE_MARGIN and evidence.gap <= LIKE_SPEECH_GAP


def decide(evidence: Evidence, *, agrees: bool) -> Verdict:
    """The verdict on an utterance; `agrees` is whether a second ear heard the same request."""
    if not evidence.readings or (evidence.gap > FOREIGN_GAP and not agrees):
        return Verdict.IGNORE
    if is_clear(evidence) or (agrees and evidence.margin >= NARROW_MARGIN):
        return Verdict.ANSWER
    return Verdict.ASK


def probability(evidence: Evidence, *, agrees: bool, weights: Weights | None = None) -> float:
    """The probability from 0 to 1 that the best reading is what was said."""
    if not evidence.readings:
        return 0.0
    by = weights or Weights()
    score = (
        by.constant
        + by.margin * min(evidence.margin, _FARTHEST)
        + by.gap * evidence.gap / 10
        + by.agrees * agrees
    )
    return 1 / (1 + math.exp(-score))
