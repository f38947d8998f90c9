"""Text to words: what a keyboard or an engine brings in, made comparable."""

from __future__ import annotations

import re
import unicodedata

LONGEST_CHARACTERS = 300
LONGEST_WORDS = 40

_PARTS = {"½": " and a half", "¼": " and a quarter", "¾": " and three quarters"}
_QUOTES = dict.fromkeys(map(ord, "’‘`´ʼ"), "'")
_DASHES = dict.fromkeys(map(ord, "‐‑–—−"), "-")
_TOKEN = re.compile(
    r"""(?<![\w.])-\.?[0-9][0-9.,]*          # a minus sign in front of a figure
    |[0-9]+(?:[./:^-][0-9]+)*(?:,[0-9]+)*(?:\.[0-9]+)?   # a figure, however oddly written
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
    for sign, said in _PARTS.items():
        text = text.replace(sign, said)
    text = "".join(" " if unicodedata.category(sign)[0] == "C" else sign for sign in text)
    found = _TOKEN.findall(text.lower())
    return tuple(word.strip("'") or word for word in _joined(found))


def _joined(found: list[str]) -> list[str]:
    """The words, where "and a half" without a number before it is the half alone."""
    if found[:2] == ["and", "a"]:
        return found[1:]
    return found


def is_too_long(text: str) -> bool:
    """Whether a text is longer than anybody says in one breath."""
    return len(text) > LONGEST_CHARACTERS
