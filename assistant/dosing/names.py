"""Names as they are said, and names made alike for comparing."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

_HYPHENS = str.maketrans(dict.fromkeys("-‐‑–_", " "))
_CURLY = "\N{RIGHT SINGLE QUOTATION MARK}"


def spoken_form(text: str) -> str:
    """A name as it is said: lower case, no brackets, spaces for hyphens, plain apostrophes."""
    plain = unicodedata.normalize("NFKC", text).casefold().partition("(")[0]
    return " ".join(plain.translate(_HYPHENS).replace(_CURLY, "'").split())


@lru_cache(maxsize=4096)
def fold(text: str) -> str:
    """A name for comparing: as it is said, without apostrophes and full stops."""
    return " ".join(spoken_form(text).replace("'", "").replace(".", " ").split())
