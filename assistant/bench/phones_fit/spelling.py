"""From words to the network's columns: the CMU dictionary, then grammar/pronunciations.dict."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache

from assistant.adapters.ears.phone_head import NAMES
from assistant.adapters.ears.pronunciations import dictionary_lines, parse_pronunciations
from assistant.adapters.home.grammar_file import PRONUNCIATIONS, grammar_text

_WORD = re.compile(r"[a-z'.]+")
_FURTHER = re.compile(r"\(\d+\)$")

COLUMNS: Mapping[str, int] = {name: column for column, name in enumerate(NAMES)}


def words_of(text: str) -> list[str]:
    """The words of a text in small letters."""
    return _WORD.findall(text.lower())


def columns_of(text: str) -> list[int] | None:
    """The phones of a text by their columns, each word as listed first; None for others."""
    words = [_first_spellings().get(word) for word in words_of(text)]
    if not words or None in words:
        return None
    return [COLUMNS[phone] for word in words if word for phone in word]


@cache
def _first_spellings() -> Mapping[str, Sequence[str]]:
    """Of each word the pronunciation listed first; the CMU dictionary goes before ours."""
    found: dict[str, Sequence[str]] = {}
    for line in dictionary_lines():
        word, *phones = line.split()
        found.setdefault(_FURTHER.sub("", word), phones)
    ours = parse_pronunciations(grammar_text(PRONUNCIATIONS), PRONUNCIATIONS)
    for word, spoken in ours.items():
        found.setdefault(word, spoken[0].split())
    return found
