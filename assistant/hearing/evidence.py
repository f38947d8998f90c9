"""What one ear made of one utterance: its readings, and what it would have written by itself."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reading:
    """One request that the ear may have heard, in its likeliest words.

    `score` is the ear's own, in natural log units; `share` is the request's part, from 0 to 1, of
    all that the ear found under the grammar, whatever the wording.
    """

    words: str
    score: float
    share: float


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that one ear can say about an utterance of `seconds`.

    `readings` are different requests, the likeliest first.  `free` is the text that the ear writes
    without a grammar, `free_score` its score on the same scale; both None from an ear that cannot.
    `cut_off` is whether speech seems to have begun before the sound did, or gone on after it.
    """

    readings: tuple[Reading, ...]
    seconds: float
    free: str | None = None
    free_score: float | None = None
    cut_off: bool = False

    @property
    def margin(self) -> float:
        """How far the best reading leads the next different one; infinite if there is none."""
        if len(self.readings) < 2:  # noqa: PLR2004 - a lead takes two
            return float("inf")
        return self.readings[0].score - self.readings[1].score

    @property
    def gap(self) -> float:
        """How far the best reading lies behind the free text; infinite without a reading."""
        if not self.readings:
            return float("inf")
        return (self.free_score or 0.0) - self.readings[0].score

    @property
    def strain(self) -> float:
        """The gap for each second of sound and half a second more; infinite without a reading."""
        return self.gap / (self.seconds + 0.5)


NOTHING = Evidence((), 0.0)
"""What an ear says of an utterance that is too short, too long, or silent."""
