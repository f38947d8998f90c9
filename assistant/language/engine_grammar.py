"""The grammar as a speech engine takes it: plain text, compiled elsewhere."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EngineGrammar:
    """One closed grammar in the two shapes that engines accept, from one source.

    A word that an engine cannot hear must be left out of all three fields alike, so the caller
    asks the engine's `unknown_words` first and compiles the grammar again without them.
    """

    jsgf: str
    """A complete JSGF 1.0 grammar with exactly one public rule (W3C note, 2000-06-05)."""

    words: frozenset[str]
    """Every terminal, in lower case; an apostrophe belongs to its word, a hyphen is a space."""

    phrases: tuple[str, ...]
    """What a phrase-list engine may hear, each of these words; repeats and order are free."""
