"""Pronunciations for words that no dictionary has: a keeper's own species, names and medicines.

espeak-ng says how a word is spoken in three accents, and `assistant.language.phones` writes that in
the phones of the CMU Pronouncing Dictionary.  How often it agrees with that dictionary is measured
by `assistant/bench/phones_bench.py` and published in assistant/docs/pronunciations.md.
"""

from __future__ import annotations

import json
import subprocess
import sys
import unicodedata
from collections.abc import Container, Iterable, Mapping, Sequence
from pathlib import Path

from assistant.errors import EngineUnavailable
from assistant.language.phones import pronunciations

_WORKER = Path(__file__).with_name("espeak_phones_worker.py")

ACCENTS = ("en-us", "en", "en-gb-x-rp")
"""American; British, where bath has the vowel of trap; southern British, where it has that of palm.

espeak-ng 1.52 has no Australian voice; the last is the nearest to it: no r before a consonant, a
long a in grass, and one vowel in poor and paw.  Its "en-gb" goes by the name "en".
"""

LONGEST_WORD = 60
"""In letters; anything longer is no name, and is not given to the library."""

_TRIES = 4

_REMEDY = "Run: pip install --force-reinstall espeakng-loader"


class EspeakPhones:
    """espeak-ng as a maker of pronunciations; each word is worked out once and then remembered.

    The work is done by a process of its own (see espeak_phones_worker.py) that lives as long as
    one call.  A word on which it dies or stays silent for `limit_s` seconds gets no pronunciation,
    and the others get theirs.  Not to be shared between threads.
    """

    def __init__(self, *, limit_s: float = 10.0, worker: Path = _WORKER) -> None:
        self._limit_s = limit_s
        self._worker = worker
        self._remembered: dict[str, tuple[str, ...]] = {}

    def pronounce(self, word: str) -> tuple[str, ...]:
        """The distinct pronunciations of one word, American first; empty when there is none.

        Each is a line of CMUdict phones, such as "G AH L AA", as pocketsphinx takes it.  A word
        with a letter of another script gets none: espeak-ng would say "Chinese letter" for it.
        Raises EngineUnavailable.
        """
        return self.missing_pronunciations([word], ()).get(word, ())

    def missing_pronunciations(
        self, words: Iterable[str], known: Container[str]
    ) -> Mapping[str, tuple[str, ...]]:
        """Pronunciations for every word that is not in `known`, all in one go.

        A word for which there is none is left out, so that the ear that asks stays deaf to it and
        says so.  Nothing is started when every word is known.  Raises EngineUnavailable.
        """
        wanted = dict.fromkeys(word for word in words if word not in known and _is_sayable(word))
        self._remember([word for word in wanted if word not in self._remembered])
        return {word: said for word in wanted if (said := self._remembered[word])}

    def spell(self, words: Sequence[str]) -> Mapping[str, Sequence[str]]:
        """The phonemes of each word in each of `ACCENTS`, in IPA with "_" between them.

        A word on which espeak-ng dies is left out.  Raises EngineUnavailable.
        """
        left = list(dict.fromkeys(words))
        for _ in range(_TRIES):
            answers = self._ask(left) if left else ()
            if len(answers) == len(left) * len(ACCENTS):
                return {word: answers[place :: len(left)] for place, word in enumerate(left)}
            del left[len(answers) % len(left)]
        raise EngineUnavailable("espeak-ng fails on one word after another.", _REMEDY)

    def _remember(self, words: Sequence[str]) -> None:
        spelt = self.spell(words)
        for word in words:
            self._remembered[word] = pronunciations(spelt.get(word, ()))

    def _ask(self, words: Sequence[str]) -> Sequence[str]:
        """What the process answered before it ended; raises EngineUnavailable for its problem."""
        request = json.dumps({"voices": ACCENTS, "words": words}) + "\n"
        *whole, _ = self._run(request.encode()).split(b"\n")
        first, *answers = map(json.loads, whole or [b"{}"])
        if "ready" not in first:
            problem = first.get(
                "problem", "espeak-ng ends, or does not answer, as soon as it starts."
            )
            raise EngineUnavailable(problem, _REMEDY)
        return answers

    def _run(self, request: bytes) -> bytes:
        """All that the process wrote until it ended or its time was up."""
        try:
            # -P: no module of ours may stand in for one that the worker imports
            done = subprocess.run(  # noqa: S603 - our own interpreter and our own file
                [sys.executable, "-P", str(self._worker)],
                input=request,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                timeout=self._limit_s,
                check=False,
            )
        except subprocess.TimeoutExpired as late:
            return late.stdout or b""
        except OSError as error:
            raise EngineUnavailable(f"espeak-ng cannot be started ({error}).", _REMEDY) from error
        return done.stdout


def _is_sayable(word: str) -> bool:
    """Letters of the Latin alphabet, with or without accents, figures, apostrophes and stops."""
    signs = unicodedata.normalize("NFC", word)
    return 0 < len(signs) <= LONGEST_WORD and all(
        sign in "'." or sign in "0123456789" or unicodedata.name(sign, "").startswith("LATIN ")
        for sign in signs
    )
