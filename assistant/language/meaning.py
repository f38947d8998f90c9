"""Whether two wordings ask for the same."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from typing import TypeAlias

from assistant.language.lexicon import Lexicon
from assistant.language.requests import DoseWanted, Request
from assistant.language.understanding import understand

Meaning: TypeAlias = Callable[[str], Hashable]
"""Gives equal values for two wordings that ask for the same, whatever words they use."""

_MOST_KNOWN = 4096


def meaning_in(lexicon: Lexicon) -> Meaning:
    """Tells whether two wordings ask for the same; what has no meaning means its own words."""
    known: dict[str, Hashable] = {}

    def meaning(words: str) -> Hashable:
        if words not in known:
            if len(known) >= _MOST_KNOWN:
                known.clear()
            known[words] = _unworded(understand(words, lexicon).requests) or words
        return known[words]

    return meaning


def _unworded(requests: Sequence[Request]) -> tuple[Request, ...]:
    """The requests without the name by which the bird was called."""
    return tuple(
        replace(one, spoken="") if isinstance(one, DoseWanted) else one for one in requests
    )
