"""Wordings put together by what they ask for.  Pure."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Sequence

from assistant.hearing.evidence import Reading

Meaning = Callable[[str], Hashable]
"""Tells whether two wordings ask for the same, by giving equal values for them."""

MOST_READINGS = 8
"""The different requests that are kept of an utterance."""


def gathered(wordings: Iterable[tuple[str, float]], meaning: Meaning) -> tuple[Reading, ...]:
    """The requests in wordings with their scores, each in its likeliest words, the best first.

    The score of a request is that of all its wordings together, in natural log units.
    """
    grouped: dict[Hashable, list[tuple[str, float]]] = {}
    for words, score in wordings:
        grouped.setdefault(meaning(words), []).append((words, score))
    if not grouped:
        return ()
    whole = _together([score for group in grouped.values() for _, score in group])
    readings = []
    for group in grouped.values():
        score = _together([score for _, score in group])
        words = max(group, key=lambda one: one[1])[0]
        readings.append(Reading(words, score, math.exp(score - whole)))
    readings.sort(key=lambda one: -one.score)
    return tuple(readings[:MOST_READINGS])


def _together(scores: Sequence[float]) -> float:
    """The logarithm of the sum of what the scores are logarithms of."""
    top = max(scores)
    return top + math.log(sum(math.exp(score - top) for score in scores))
