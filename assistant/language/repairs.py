"""Misspelt and half-said names put right, or turned into names to ask about."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.language.lexicon import Lexicon
from assistant.language.names import LETTERS_PER_SLIP, Near, nearest, part_of, slips
from assistant.language.numerals import is_number_word
from assistant.language.tree import plain

NAME_WORDS = 4
"""The longest stretch of words that is looked at as one misspelt name."""

Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Words that are no name, the names that they may stand for, and the utterance with each."""

    words: Words
    names: tuple[str, ...]
    options: tuple[Words, ...]


def put_right(said: Words, strange: Words, lexicon: Lexicon) -> Words:
    """The words with one name put right that is near just one bird, or only spaced otherwise."""
    for start, end in _stretches(said, lexicon.vocabulary | set(strange)):
        stretch = tuple(map(plain, said[start:end]))
        if name := lexicon.unspaced.get("".join(stretch)) or _taken(stretch, lexicon):
            return (*said[:start], *name.split(), *said[end:])
    return said


def _taken(stretch: Words, lexicon: Lexicon) -> str | None:
    """The name that a stretch is taken for; known words must be but one slip away from it."""
    words = set(stretch)
    if not words & lexicon.vocabulary:
        return _near(stretch, lexicon).taken
    if not words <= lexicon.vocabulary:
        names = words & lexicon.vocabulary <= lexicon.name_words
        return _near(stretch, lexicon).taken if names else None
    return _one_slip_away(stretch, lexicon) if words <= lexicon.name_words else None


def suggestions(said: Words, strange: Words, lexicon: Lexicon) -> Iterator[Suggestion]:
    """Where a name may stand that is near some birds, or a part of some names: longest first."""
    for start, end in _stretches(said, lexicon.name_words | set(strange)):
        stretch = tuple(map(plain, said[start:end]))
        near = _near(stretch, lexicon)
        names = filter(None, (near.taken, *near.suggested)) if set(stretch) & set(strange) else ()
        found = tuple(names) or part_of(stretch, lexicon.names_with.get(stretch[0], {}))
        if found:
            options = tuple((*said[:start], *name.split(), *said[end:]) for name in found)
            yield Suggestion(said[start:end], found, options)


def _stretches(said: Words, name_like: frozenset[str]) -> Iterator[tuple[int, int]]:
    """Where one name may stand, the longest first: only such words, and no numbers."""
    for length in range(NAME_WORDS, 0, -1):
        for start in range(len(said) - length + 1):
            stretch = said[start : start + length]
            if all(
                (word in name_like or plain(word) in name_like) and not is_number_word(word)
                for word in stretch
            ):
                yield start, start + length


def _near(stretch: Words, lexicon: Lexicon) -> Near:
    """The names near to a stretch; one with a known name in it must be near word by word."""
    near = nearest(" ".join(stretch), lexicon.bird_names)
    if not _holds_a_name(stretch, lexicon):
        return near
    taken = near.taken if near.taken and _word_by_word(stretch, near.taken) else None
    return Near(taken, tuple(name for name in near.suggested if _word_by_word(stretch, name)))


def _one_slip_away(stretch: Words, lexicon: Lexicon) -> str | None:
    """The name that known words make but for a single slip, as "bourke parrot" does."""
    spoken = " ".join(stretch)
    if len(stretch) < 2 or spoken in lexicon.bird_names:  # noqa: PLR2004 - one word is a name or not
        return None
    taken = _near(stretch, lexicon).taken
    return taken if taken and slips(spoken, taken) == 1 else None


def _holds_a_name(stretch: Words, lexicon: Lexicon) -> bool:
    spans = (stretch[a:b] for a in range(len(stretch)) for b in range(a + 1, len(stretch) + 1))
    return any(" ".join(span) in lexicon.bird_names for span in spans)


def _word_by_word(stretch: Words, name: str) -> bool:
    names = name.split()
    return len(names) == len(stretch) and all(
        slips(one, other) <= max(1, len(other) // LETTERS_PER_SLIP)
        for one, other in zip(stretch, names, strict=True)
    )
