"""What was heard while an answer was awaited, weighed together with all else that it may be.  Pure.

An ear that listens for an answer alone must not make one of anything else.  So the answer is taken
by itself only where it fits the sound as well as free text does.  Else the same sound is heard
under the whole grammar too, on the same scale, and what was not expected pays for being seldom
said there: a prior, as in language/rarity.py, which moves a margin but removes no reading.  It
may make a lead surer; where it gives the lead to another reading, the two stay near rivals, so that
the keeper is asked.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping
from dataclasses import replace

from assistant.hearing.evidence import Evidence, Reading
from assistant.hearing.gathering import ranked
from assistant.language.expected import Expected, Fit
from assistant.language.heard import Alternative
from assistant.language.meaning import Meaning

SNUG = 0.0
"""The most by which an answer heard alone may lie behind the free text, in natural log units."""

COST: Mapping[Fit, float] = {
    Fit.OFFERED: 0.0, Fit.ANSWER: 2.0, Fit.OTHER: 3.0, Fit.ABSURD: 4.0,
}  # fmt: skip
"""What a reading pays, in natural log units.  Common practice, no source: after a question one
utterance in twenty is no answer, of weights on offer one in eight times neither is right, and one
weight in fifty is a slip of the tongue or a weighing gone wrong."""

OVERTAKEN = 1.0
"""The lead, in natural log units, of what is best only by being expected: too small to answer."""

FitOfWords = Callable[[str, Expected], Fit]
"""Tells how well words fit what is expected."""


def is_snug(narrow: Evidence) -> bool:
    """Whether an answer fits so well that hearing the whole grammar could not change it."""
    return bool(narrow.readings) and narrow.gap <= SNUG


def together(narrow: Evidence, whole: Evidence, meaning: Meaning) -> Evidence:
    """All readings of both, each once, with the better of its scores.

    What else is known of the sound is as the whole grammar left it.
    """
    found: dict[Hashable, Reading] = {}
    for one in (*narrow.readings, *whole.readings):
        known = found.setdefault(meaning(one.words), one)
        if one.score > known.score:
            found[meaning(one.words)] = one
    return replace(whole, readings=ranked(found.values()))


def weighed(evidence: Evidence, fit: Callable[[str], Fit]) -> Evidence:
    """The readings with what each pays for being unexpected.

    The best one keeps its own score, so that its fit to the sound is judged as it is.  One that was
    best before stays close behind it.
    """
    paid = [
        (replace(one, score=one.score - COST[fit(one.words)]), one) for one in evidence.readings
    ]
    if not paid:
        return evidence
    best, before = max(paid, key=lambda pair: pair[0].score)
    back = before.score - best.score
    least = before.score - OVERTAKEN
    readings = [
        replace(one, score=max(one.score + back, least if was.score > before.score else -math.inf))
        for one, was in paid
    ]
    return replace(evidence, readings=ranked(readings))


def likelier(
    paths: tuple[Alternative, ...], expected: Expected, fit: FitOfWords | None
) -> tuple[Alternative, ...]:
    """The wordings of an ear without a score of its own, their belief shared out anew.

    Together they are believed as much as before.  The ear's own choice stays the first, unless one
    that pays less has more belief.  What has no words, or no `fit`, is left alone.
    """
    if fit is None or not expected.sayings or not paths or not paths[0].words:
        return paths
    costs = [COST[fit(one.words, expected)] for one in paths]
    weights = [one.confidence * math.exp(-cost) for one, cost in zip(paths, costs, strict=True)]
    again = sum(one.confidence for one in paths) / sum(weights)
    paid = [replace(one, confidence=w * again) for one, w in zip(paths, weights, strict=True)]
    cheaper = [one for one, cost in zip(paid, costs, strict=True) if cost < costs[0]]
    first = max([paid[0], *cheaper], key=lambda one: one.confidence)
    rest = sorted((one for one in paid if one is not first), key=lambda one: -one.confidence)
    return (first, *rest)
