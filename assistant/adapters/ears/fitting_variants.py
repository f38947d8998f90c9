"""Which of several pronunciations of a word a speaker uses: aligned by pocketsphinx's model."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assistant.audio import EAR_RATE_HZ, Clip
from assistant.errors import EngineUnavailable

FEWEST = 2
"""How often a word must have been read before one of its pronunciations is left out."""

_MARK = "@"
_SEARCH = {"lm": None, "loglevel": "FATAL", "samprate": EAR_RATE_HZ, "bestpath": False}


@dataclass(frozen=True, slots=True)
class Spoken:
    """A recording and the words that are in it."""

    text: str
    clip: Clip


def fitting_variants(
    pronunciations: Mapping[str, Sequence[str]], read: Sequence[Spoken]
) -> Mapping[str, tuple[str, ...]]:
    """For each word that was read often enough, those of its pronunciations that fitted best once.

    A word of which every pronunciation fitted is left out, since nothing is to be changed.
    Raises EngineUnavailable.
    """
    try:
        aligner = _Aligner(pronunciations)
        won = Counter(choice for one in read for choice in aligner.choices(one))
    except (ImportError, OSError, RuntimeError, ValueError, KeyError) as error:
        raise EngineUnavailable(
            f"pocketsphinx does not work: {error}.", "Install the Python package pocketsphinx."
        ) from error
    found = {}
    for word in {word for word, _ in won}:
        fitting = tuple(one for one in pronunciations[word] if won[word, one])
        often = sum(won[word, one] for one in fitting) >= FEWEST
        if often and len(fitting) < len(pronunciations[word]):
            found[word] = fitting
    return dict(sorted(found.items()))


class _Aligner:
    """A decoder that may only say the words of one recording, each in any of its ways."""

    def __init__(self, pronunciations: Mapping[str, Sequence[str]]) -> None:
        from pocketsphinx import Decoder

        self._pronunciations = pronunciations
        self._decoder: Any = Decoder(**_SEARCH)
        self._count = 0

    def choices(self, read: Spoken) -> Iterator[tuple[str, str]]:
        """Each word that can be said in several ways, with the way it was said."""
        places = [self._ways(word) for word in read.text.split()]
        if not any(len(ways) > 1 for ways in places):
            return
        self._count += 1
        self._bind(f"read{self._count}", places)
        self._decoder.reinit_feat()
        self._decoder.start_utt()
        self._decoder.process_raw(read.clip.pcm, full_utt=True)
        self._decoder.end_utt()
        if self._decoder.hyp() is None:
            return
        for part in self._decoder.seg():
            word, mark, number = part.word.partition(_MARK)
            if mark:
                yield word, self._pronunciations[word][int(number)]

    def _ways(self, word: str) -> list[str]:
        """The entries of the decoder's dictionary for this word."""
        spoken = self._pronunciations.get(word, ())
        several = len(spoken) > 1
        names = [f"{word}{_MARK}{number}" for number in range(len(spoken))] if several else [word]
        for name, phones in zip(names, spoken, strict=False):
            if self._decoder.lookup_word(name) is None:
                self._decoder.add_word(name, phones, True)  # noqa: FBT003 - pocketsphinx's own
        if self._decoder.lookup_word(names[0]) is None:
            raise ValueError(f"it cannot pronounce {word}")
        return names

    def _bind(self, name: str, places: Sequence[Sequence[str]]) -> None:
        steps = [(at, at + 1, 1.0, way) for at, ways in enumerate(places) for way in ways]
        fsg = self._decoder.create_fsg(name, 0, len(places), steps)
        self._decoder.add_fsg(name, fsg)
        self._decoder.activate_search(name)
