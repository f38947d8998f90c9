"""What one ear made of the same sound at several pitches, put together.  Pure.

A voice that is higher or lower than those that an ear learnt from is misheard more often.  Moving
the sound up and down a little brings it nearer to one of them, and what is heard at every pitch is
more likely right (vocal tract length normalisation, Lee and Rose 1996, ICASSP; here every pitch
has a say, and none is chosen).
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

from assistant.hearing.decision import is_foreign
from assistant.hearing.evidence import Evidence, Reading
from assistant.hearing.gathering import ranked
from assistant.language.meaning import Meaning

UNFOUND = 4.0
"""How far behind the best reading of a pitch one that was not found there counts at the least, in
natural log units."""

NOTHING_FOUND = 4.0
"""How much farther behind all count at a pitch at which nothing was found than at the worst other.
With 8 and 12 for these two the readings of development voices were less well told from wrong."""


def averaged(pitches: Sequence[Evidence], meaning: Meaning) -> Evidence:
    """Every request that was heard at some pitch, by the mean of how far behind it lies at each.

    That is behind what the ear hears there without a grammar.  How well the best one fits is told
    by the pitch at which it fits best; all else is as at the first one.  Where that would make
    other talk of it, the first one stands: a doubt is not to end in silence.
    """
    found: dict[Hashable, str] = {}
    for one in pitches:
        for reading in one.readings:
            found.setdefault(meaning(reading.words), reading.words)
    if not found:
        return pitches[0]
    worst = max(one.gap for one in pitches if one.readings)
    behind = [_behind(one, meaning, worst + NOTHING_FOUND) for one in pitches]
    readings = ranked(
        Reading(words, -sum(one.of(key) for one in behind) / len(behind), 0.0)
        for key, words in found.items()
    )
    best = meaning(readings[0].words)
    fits = min(one.gaps[best] for one in behind if best in one.gaps)
    mean = replace(pitches[0], readings=readings, free_score=readings[0].score + fits)
    return pitches[0] if is_foreign(mean) else mean


@dataclass(frozen=True, slots=True)
class _Behind:
    """At one pitch, how far each request lies behind, and how far one that was not found."""

    gaps: dict[Hashable, float]
    unfound: float

    def of(self, key: Hashable) -> float:
        return self.gaps.get(key, self.unfound)


def _behind(evidence: Evidence, meaning: Meaning, nothing: float) -> _Behind:
    free = evidence.free_score or 0.0
    gaps = {meaning(one.words): free - one.score for one in evidence.readings}
    return _Behind(gaps, max(*gaps.values(), evidence.gap + UNFOUND) if gaps else nothing)
