"""Text to words: what a keyboard or an engine brings in, made comparable."""

from __future__ import annotations

import re
import unicodedata

LONGEST_CHARACTERS = 300
LONGEST_WORDS = 40

_PART_SIGNS = str.maketrans({"½": " 1/2 ", "¼": " 1/4 ", "¾": " 3/4 ", "&": " and "})
_PART = re.compile(r"(?:(?<![0-9./])([0-9]+)\s+)?(?<![0-9./])(1/2|1/4|3/4)(?![0-9./])")
_ADDED = {"1/2": "and a half", "1/4": "and a quarter", "3/4": "and three quarters"}
_ALONE = {"1/2": "half a", "1/4": "a quarter of a", "3/4": "three quarters of a"}
_QUOTES = dict.fromkeys(map(ord, "’‘`´ʼ"), "'")
_DASHES = dict.fromkeys(map(ord, "‐‑–—−"), "-")
_TOKEN = re.compile(
    r"""(?<![\w.])-\.?[0-9][0-9.,]*          # a minus sign in front of a figure
    |[0-9]+(?:[./:^-][0-9]+|e[+-]?[0-9]+)*(?:,[0-9]+)*(?:\.[0-9]+)?   # a figure, odd or not
    |\.[0-9]+
    |[^\W\d_]+(?:'[^\W\d_]+)*'?              # a word of any script
    |\w+                                     # digits of other scripts, and what is left
    |[^\s\w'\"!?;:,.()\[\]-]                 # any other sign that is not mere punctuation
    """,
    re.VERBOSE,
)


def tokens(text: str) -> tuple[str, ...]:
    """The words and figures of a text, lower case, apostrophes kept, punctuation dropped.

    A figure is split from its unit: "62g" gives two words.  Control characters count as spaces.
    """
    text = unicodedata.normalize("NFC", text).translate(_QUOTES).translate(_DASHES)
    text = _PART.sub(_part_in_words, text.translate(_PART_SIGNS))
    text = "".join(" " if unicodedata.category(sign)[0] == "C" else sign for sign in text)
    return tuple(word.strip("'") or word for word in _TOKEN.findall(text.lower()))


def _part_in_words(found: re.Match[str]) -> str:
    """A half, quarter or three quarters in words: added to the number before it, if any."""
    return f"{found[1]} {_ADDED[found[2]]} " if found[1] else f" {_ALONE[found[2]]} "


def is_too_long(text: str) -> bool:
    """Whether a text is longer than anybody says in one breath."""
    return len(text) > LONGEST_CHARACTERS
