"""How much more strain one keeper's right phrases have than is usual, and taking that off.  Pure.

A voice, an accent or a microphone that the model has seldom met makes all of its readings strained,
right ones too.  An enrolment measures by how much; only that is taken off before the decision.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.hearing.evidence import Evidence

MOST_HABIT = 1.5
"""The most that may be taken off, in log units for each second, whatever was measured."""

USUAL_STRAIN = 0.16
"""The median strain of right readings: 242 of the 256 dose requests of the bench's development
part, size quick, by the ear for phones."""

ENOUGH_RIGHT = 10
"""The fewest right phrases that show a habit."""


@dataclass(frozen=True, slots=True)
class Read:
    """One phrase that was read out: the strain of its right reading, None where there was none.

    `is_wrong` is whether something else would have been answered, without a question.
    """

    strain: float | None
    is_wrong: bool


def strain_habit(phrases: Sequence[Read]) -> float:
    """The habit to take off; nought after a phrase that was surely heard wrong.

    A bar that let a wrong phrase through is not to be lowered.
    """
    strains = sorted(one.strain for one in phrases if one.strain is not None)
    if any(one.is_wrong for one in phrases) or len(strains) < ENOUGH_RIGHT:
        return 0.0
    return min(MOST_HABIT, max(0.0, strains[len(strains) // 2] - USUAL_STRAIN))


def eased(evidence: Evidence, habit: float) -> Evidence:
    """The evidence with the habit taken off its strain, which never falls below nought by that."""
    if evidence.free_score is None or not evidence.readings:
        return evidence
    bounded = min(max(habit, 0.0), MOST_HABIT) * (evidence.seconds + 0.5)
    return replace(evidence, free_score=evidence.free_score - min(bounded, max(evidence.gap, 0.0)))
