"""Pronouncing dictionaries in CMU notation: a word, then its phones.

A further pronunciation of a word is written `word(2)`, and a line that starts with `;;;` is a
comment (CMU Pronouncing Dictionary, version 0.7).
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from assistant.errors import DataProblem, EngineUnavailable

_VOWELS = "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW"
_CONSONANTS = "B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH"

PHONES = frozenset(f"{_VOWELS} {_CONSONANTS}".split())
"""The 39 phones of CMUdict, without stress; pocketsphinx's English model knows just these."""

_WORD = re.compile(r"([a-z](?:[a-z.']*[a-z.])?)(?:\(([2-9]|[1-9]\d)\))?")


def read_pronunciations(path: Path) -> Mapping[str, Sequence[str]]:
    """The pronunciations of each word in a file; raises DataProblem with the line at fault."""
    try:
        return parse_pronunciations(path.read_text(encoding="utf-8"), str(path))
    except (OSError, UnicodeDecodeError) as error:
        raise DataProblem(f"{path} cannot be read: {error}.", "Restore the file.") from error


def parse_pronunciations(text: str, where: str) -> Mapping[str, Sequence[str]]:
    """The pronunciations of each word in a text, in the order written, each once.

    Raises DataProblem for a line that is no entry, an unknown phone or a number out of turn.
    """
    words: dict[str, list[str]] = {}
    for number, word, nth, phones in _entries(text, where):
        spoken = words.setdefault(word, [])
        if nth != len(spoken) + 1:
            raise _at(where, number, f"the next pronunciation of “{word}” is ({len(spoken) + 1})")
        if phones in spoken:
            raise _at(where, number, f"“{word}” is already pronounced {phones}")
        spoken.append(phones)
    return {word: tuple(spoken) for word, spoken in words.items()}


@dataclass(frozen=True, slots=True)
class WordSounds:
    """Pronunciations of the words of a grammar: ours, and those of the CMU dictionary."""

    ours: Mapping[str, Sequence[str]]
    dictionary: Mapping[str, Sequence[str]]

    @property
    def together(self) -> Mapping[str, Sequence[str]]:
        """All of each word, ours first, each once; ours may have words that nobody asked for."""
        words = self.ours.keys() | self.dictionary.keys()
        return {
            word: tuple(dict.fromkeys((*self.ours.get(word, ()), *self.dictionary.get(word, ()))))
            for word in words
        }


def dictionary_pronunciations(words: Container[str]) -> Mapping[str, Sequence[str]]:
    """How the CMU dictionary inside pocketsphinx says these words; raises EngineUnavailable."""
    found: dict[str, list[str]] = {}
    for line in dictionary_lines():
        name, _, phones = line.partition(" ")
        word = name.partition("(")[0]
        if word in words:
            found.setdefault(word, []).append(phones.strip())
    return found


def dictionary_lines() -> Iterator[str]:
    """The entries of that dictionary, as they stand there; raises EngineUnavailable."""
    try:
        package = find_spec("pocketsphinx")
        place = next(iter(package.submodule_search_locations or ())) if package else ""
        with (Path(place) / "model" / "en-us" / "cmudict-en-us.dict").open("rb") as lines:
            yield from (line.decode("utf-8").rstrip() for line in lines if line.strip())
    except (OSError, StopIteration, UnicodeDecodeError) as error:
        raise EngineUnavailable(
            f"The pronouncing dictionary in pocketsphinx cannot be read: {error}.",
            "Install the Python package pocketsphinx again.",
        ) from error


def own_pronunciations(path: Path) -> Mapping[str, Sequence[str]]:
    """The keeper's own pronunciations; none where there is no such file; raises DataProblem."""
    return read_pronunciations(path) if path.exists() else {}


def fitting(
    words: Mapping[str, Sequence[str]], variants: Mapping[str, Sequence[str]]
) -> dict[str, Sequence[str]]:
    """Of each word the pronunciations that are among its variants, or all where none is."""
    return {
        word: [one for one in spoken if one in variants.get(word, spoken)] or spoken
        for word, spoken in words.items()
    }


def _entries(text: str, where: str) -> Iterator[tuple[int, str, int, str]]:
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.startswith(";;;"):
            continue
        name, *phones = line.split()
        entry = _WORD.fullmatch(name)
        if not entry or not phones:
            raise _at(where, number, f"“{line.strip()}” is not a word and its phones")
        for phone in phones:
            if phone not in PHONES:
                raise _at(where, number, f"“{phone}” is not one of the phones of CMUdict")
        yield number, entry[1], int(entry[2] or 1), " ".join(phones)


def _at(where: str, number: int, problem: str) -> DataProblem:
    return DataProblem(f"{where}, line {number}: {problem}.", "Correct the line.")
