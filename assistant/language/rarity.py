"""How seldom a keeper says a word where the grammar allows it: a cost, in natural log units.

The grammar says what may be said, not how often.  An ear that weighs whole sentences against one
another would else take a missed name for "no, roughly", which costs nothing in the grammar and is
hardly ever said.  Common practice, no source: each unit is a factor of 2.7, and the costs were set
by hand, once; only what is rare anyway pays, never one bird or one number against another.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

RARITY: Mapping[str, float] = {
    **dict.fromkeys(("about", "around", "roughly"), 3.0),
    **dict.fromkeys(("sorry", "no"), 3.0),
    **dict.fromkeys(("um", "er", "so", "now", "okay"), 2.0),
    **dict.fromkeys(("please", "thanks", "thank"), 1.0),
    **dict.fromkeys(("bag", "with", "without"), 2.0),
    **dict.fromkeys(("point", "half", "quarter", "quarters", "double"), 1.5),
    **dict.fromkeys(("ounce", "ounces", "pound", "pounds"), 2.0),
    **dict.fromkeys(("kilo", "kilos", "kilogram", "kilograms"), 1.0),
    **dict.fromkeys(("of", "on", "the", "an"), 1.0),
}


def rarity(words: Sequence[str]) -> float:
    """What all the words cost together; a sentence of one word is never rare."""
    return sum(RARITY.get(word, 0.0) for word in words) if len(words) > 1 else 0.0
