"""Near names: which known name a misspelt one is close to, if any.  Never guesses between two."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

LETTERS_PER_SLIP = 4
"""One slip of the finger (a letter missing, added, wrong or swapped) is forgiven for so many."""

CLEAR_LEAD = 2
"""How many slips further away the next bird must be for the nearest one to be taken."""

SUGGESTED = 3


@dataclass(frozen=True, slots=True)
class Near:
    """The name that a word was taken for, or else the names to ask about, the nearest first."""

    taken: str | None
    suggested: tuple[str, ...] = ()


def nearest(word: str, meanings: Mapping[str, frozenset[str]]) -> Near:
    """What `word` may have been meant for; `meanings` holds what each known name stands for.

    A name is taken when it is near (one slip for every four letters) and every name of another
    meaning is at least two slips further away.  Otherwise the near ones are suggested,
    for longer words those one slip further away too.
    """
    slips_allowed = len(word) // LETTERS_PER_SLIP
    if not slips_allowed:
        return Near(None)
    found = _within(slips_allowed + CLEAR_LEAD, word, meanings)
    if not found:
        return Near(None)
    best, slips = min(found, key=lambda hit: (hit[1], hit[0]))
    rivals = [hit for hit in found if meanings[hit[0]] != meanings[best]]
    lead = min((hit[1] for hit in rivals), default=slips + CLEAR_LEAD) - slips
    if slips <= slips_allowed and lead >= CLEAR_LEAD:
        return Near(best)
    within = slips_allowed + (len(word) > LETTERS_PER_SLIP)
    near = sorted((hit[1], hit[0]) for hit in found if hit[1] <= within)
    return Near(None, _distinct([name for _, name in near], meanings))


def _distinct(names: list[str], meanings: Mapping[str, frozenset[str]]) -> tuple[str, ...]:
    kept: dict[frozenset[str], str] = {}
    for name in names:
        kept.setdefault(meanings[name], name)
    return tuple(kept.values())[:SUGGESTED]


def near_words(word: str, vocabulary: Iterable[str]) -> tuple[str, ...]:
    """The words nearest to a misspelt one, all equally near, or none; short words have none."""
    slips_allowed = len(word) // LETTERS_PER_SLIP
    found = _within(slips_allowed, word, vocabulary)
    fewest = min((hit[1] for hit in found), default=0)
    return tuple(sorted(hit[0] for hit in found if hit[1] == fewest and slips_allowed))


def slips(one: str, other: str) -> int:
    """How many slips of the finger lie between two words."""
    from rapidfuzz.distance import OSA  # noqa: PLC0415 - start-up: only unknown words need it

    return OSA.distance(one, other)


def _within(most: int, word: str, names: Iterable[str]) -> list[tuple[str, int]]:
    """The names that lie so many slips from the word at most, with their slips."""
    from rapidfuzz import process  # noqa: PLC0415 - start-up: only unknown words need it
    from rapidfuzz.distance import OSA  # noqa: PLC0415 - as above

    found = process.extract(word, list(names), scorer=OSA.distance, score_cutoff=most, limit=None)
    return [(name, slips) for name, slips, _ in found]


def part_of(words: tuple[str, ...], meanings: Mapping[str, frozenset[str]]) -> tuple[str, ...]:
    """One name for each bird whose name holds all these words, or none where that says nothing.

    More than a few birds are no help to choose from.
    """
    holding = [name for name in meanings if set(words) <= set(name.split())]
    meant = frozenset().union(*(meanings[name] for name in holding))
    shortest: dict[str, str] = {}
    for name in sorted(holding, key=len):
        for one in sorted(meanings[name]):
            shortest.setdefault(one, name)
    return tuple(dict.fromkeys(shortest.values())) if 0 < len(meant) <= SUGGESTED else ()
