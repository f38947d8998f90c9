"""Wordings put together by what they ask for, and readings put in order.  Pure."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import replace

from assistant.hearing.evidence import Reading
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.meaning import Meaning

MOST_READINGS = 8
"""The different requests that are kept of an utterance."""


def gathered(wordings: Iterable[tuple[str, float]], meaning: Meaning) -> tuple[Reading, ...]:
    """The requests in wordings with their scores, each in its likeliest words, the best first.

    The score of a request is that of all its wordings together, in natural log units.
    """
    grouped: dict[Hashable, list[tuple[str, float]]] = {}
    for words, score in wordings:
        grouped.setdefault(meaning(words), []).append((words, score))
    return ranked(
        Reading(max(group, key=lambda one: one[1])[0], _together([s for _, s in group]), 0.0)
        for group in grouped.values()
    )


def ranked(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """The likeliest readings, the best first, with their shares of all belief worked out."""
    found = sorted(readings, key=lambda one: -one.score)
    if not found:
        return ()
    whole = _together([one.score for one in found])
    shared = (replace(one, share=math.exp(one.score - whole)) for one in found[:MOST_READINGS])
    return tuple(shared)


def as_heard(readings: Sequence[Reading], engine: str) -> Heard:
    """The readings as what an engine heard: the first with its share, the others beside it."""
    said = [Alternative(one.words, one.share) for one in readings]
    first = said[0] if said else Alternative("", 0.0)
    return Heard(first.words, first.confidence, tuple(said[1:]), Channel.VOICE, engine)


def _together(scores: Sequence[float]) -> float:
    """The logarithm of the sum of what the scores are logarithms of."""
    top = max(scores)
    return top + math.log(sum(math.exp(score - top) for score in scores))
