"""What a bird may be besides a healthy adult, and the words that a medicine's file has for it."""

from __future__ import annotations

from enum import StrEnum

from assistant.dosing.names import fold


class Condition(StrEnum):
    """The word is that of the grammar's tag."""

    YOUNG = "young"
    """A chick or an unweaned bird."""
    ILL = "ill"
    BREEDING = "breeding"
    MOULTING = "moulting"


_WORDS = {
    Condition.YOUNG: ("young", "chick", "unweaned", "nestling", "juvenile"),
    Condition.ILL: ("ill", "sick", "weak"),
    Condition.BREEDING: ("breeding", "laying", "nesting"),
    Condition.MOULTING: ("moulting", "moult", "molting", "molt"),
}
_AFTER = (" birds", " bird", " hens", " hen", " pairs", " pair", "s")

SAID = {
    Condition.YOUNG: "a chick",
    Condition.ILL: "ill",
    Condition.BREEDING: "breeding",
    Condition.MOULTING: "moulting",
}
"""What a bird is, in a sentence."""


def condition_named(words: str) -> Condition | None:
    """The condition that a caution is for, as in "breeding birds"; None for a species or group."""
    wanted = fold(words)
    stems = {wanted, *(wanted.removesuffix(end) for end in _AFTER)}
    for condition, known in _WORDS.items():
        if not stems.isdisjoint(known):
            return condition
    return None
