"""The embedded ear: pocketsphinx with the US English model that its package brings along.

Nothing needs to be downloaded.  The whole utterance is collected first and then decoded at once, so
that the sound is levelled over all of it and no utterance depends on the one before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

from assistant.adapters.pocketsphinx_search import Search, bind, decode
from assistant.adapters.word_graph import word_graph
from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.jsgf import GrammarProblem, read_grammar

LONGEST_S = 30.0
"""Of a longer utterance nothing is heard: half a sentence can mean another dose."""

SHORTEST_S = 0.1

_SEARCH: Mapping[str, object] = {
    "lm": None,
    "loglevel": "FATAL",
    "samprate": EAR_RATE_HZ,
    # the lattice is not searched again: slower, and measured worse than the first pass
    "bestpath": False,
    "wip": 0.02,
    # what bounds the work on noise and birdsong: the active states of a frame, the ends of words
    "maxhmmpf": 3000,
    "wbeam": 1e-20,
}

_DITHER = 4.0
"""Standard deviation, in steps of 16 bit, of the noise laid under the sound: after digital silence
the model hears nothing at all, and a microphone's own noise is stronger than this."""

_SEED = 95
_GRAMMAR = "grammar"
_REMEDY = "Install the Python package pocketsphinx again."
_SNUG = 30.0
"""The misfit up to which what was expected is taken without hearing the whole grammar."""

_EXPECTED_BY = 180.0
"""By how much of a score what is expected may lie behind and is still likelier: three times
SHARPNESS, as in hearing/awaited.py."""

_MOST_NARROWER = 8

Narrow = Callable[[Expected, frozenset[str]], EngineGrammar]
"""The grammar of what is expected, without the words that cannot be heard."""


class PocketsphinxEars:
    """pocketsphinx bound to one grammar, which must not hold a word from `unknown_words`.

    `deaf` names the words that the caller left out of the grammar for that reason.  The confidence
    is the words' share among the best paths through the lattice times how well the sound fits
    them: evidence only, measured on synthetic voices (assistant/bench/ears_bench.py).
    """

    def __init__(
        self,
        grammar: EngineGrammar,
        pronunciations: Mapping[str, Sequence[str]],
        deaf: Sequence[str] = (),
        narrow: Narrow | None = None,
    ) -> None:
        self._deaf = tuple(deaf)
        self._narrow = narrow
        self._expected = ANYTHING
        self._narrower: dict[Expected, Search] = {}
        self._bound = 0
        self._pcm = bytearray()
        with _engine_trouble():
            graph = word_graph(read_grammar(grammar.jsgf, {}))
            self._decoder = _decoder(grammar.words, pronunciations)
            self._whole = bind(self._decoder, graph, _GRAMMAR)

    @property
    def name(self) -> str:
        """The engine and its version."""
        return f"pocketsphinx {_version()}"

    @property
    def model(self) -> str:
        """The acoustic model, which comes with the engine."""
        return "US English (en-us), built in"

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Forget what came before, and listen first for what is expected."""
        self._pcm.clear()
        self._expected = expected

    def feed(self, clip: Clip) -> None:
        """Take in a clip at 16 kHz; raises AudioProblem for another rate."""
        if clip.rate_hz != EAR_RATE_HZ:
            raise AudioProblem(
                f"The ear takes {EAR_RATE_HZ} samples a second, not {clip.rate_hz}.",
                "Convert the sound first.",
            )
        room = _bytes(LONGEST_S) + BYTES_PER_SAMPLE - len(self._pcm)
        self._pcm += clip.pcm[: max(room, 0)]

    def finish(self) -> Heard:
        """What was said; empty words when it was nothing, too short or too long."""
        pcm = bytes(self._pcm)
        self._pcm.clear()
        if not _bytes(SHORTEST_S) <= len(pcm) <= _bytes(LONGEST_S):
            return self._heard(())
        with _engine_trouble():
            return self._heard(self._listen(_dithered(pcm)))

    def deaf_to(self) -> Sequence[str]:
        """The words that were left out of the grammar because the engine has no sound for them."""
        return self._deaf

    @staticmethod
    def unknown_words(
        words: frozenset[str], pronunciations: Mapping[str, Sequence[str]]
    ) -> frozenset[str]:
        """Those of the words that neither the engine's dictionary nor ours can pronounce."""
        missing = words - pronunciations.keys()
        return missing - _known(missing) if missing else missing

    def _listen(self, pcm: bytes) -> tuple[Alternative, ...]:
        """What is expected, unless it fits badly and the whole grammar has something better."""
        narrower = self._narrowed()
        if narrower is None:
            return decode(self._decoder, pcm, self._whole).paths
        answer = decode(self._decoder, pcm, narrower)
        if answer.misfit <= _SNUG:
            return answer.paths
        other = decode(self._decoder, pcm, self._whole)
        likelier = answer.paths and answer.score + _EXPECTED_BY > other.score
        return answer.paths if likelier else other.paths

    def _narrowed(self) -> Search | None:
        """The search for what is expected; which weights are on offer makes no other one."""
        if self._narrow is None or not self._expected.sayings:
            return None
        key = replace(self._expected, grams=())
        if key not in self._narrower:
            if len(self._narrower) >= _MOST_NARROWER:
                self._decoder.remove_fsg(self._narrower.pop(next(iter(self._narrower))).name)
            self._bound += 1
            name = f"{_GRAMMAR}-{self._bound}"
            grammar = self._narrow(key, frozenset(self._deaf))
            graph = word_graph(read_grammar(grammar.jsgf, {}))
            self._narrower[key] = bind(self._decoder, graph, name)
        return self._narrower[key]

    def _heard(self, paths: Sequence[Alternative]) -> Heard:
        first = paths[0] if paths else Alternative("", 0.0)
        return Heard(first.words, first.confidence, tuple(paths[1:]), Channel.VOICE, self.name)


def open_pocketsphinx(
    compile_without: Callable[[frozenset[str]], EngineGrammar],
    pronunciations: Mapping[str, Sequence[str]],
    narrow: Narrow | None = None,
) -> PocketsphinxEars:
    """The ear for a grammar that is compiled once more when some of its words cannot be heard.

    With `narrow` it listens first for what is expected.
    """
    grammar = compile_without(frozenset())
    with _engine_trouble():
        deaf = PocketsphinxEars.unknown_words(grammar.words, pronunciations)
    if deaf:
        grammar = compile_without(deaf)
    return PocketsphinxEars(grammar, pronunciations, sorted(deaf), narrow)


@contextmanager
def _engine_trouble() -> Iterator[None]:
    """The one place where what the engine raises becomes ours."""
    try:
        yield
    except GrammarProblem as error:
        raise EngineUnavailable(
            f"pocketsphinx cannot use the grammar: {error}.", "Restore the grammar."
        ) from error
    except (ImportError, OSError, RuntimeError, ValueError, KeyError, MemoryError) as error:
        raise EngineUnavailable(f"pocketsphinx does not work: {error}.", _REMEDY) from error


def _decoder(words: frozenset[str], pronunciations: Mapping[str, Sequence[str]]) -> Any:  # noqa: ANN401 - pocketsphinx ships no types
    from pocketsphinx import Decoder

    decoder = Decoder(**_SEARCH)
    ours = sorted(words & pronunciations.keys())
    _teach(decoder, {word: pronunciations[word] for word in ours})
    if unknown := sorted(word for word in words if decoder.lookup_word(word) is None):
        raise EngineUnavailable(
            f"pocketsphinx cannot pronounce: {', '.join(unknown)}.",
            "Leave the words out of the grammar, or give them a pronunciation.",
        )
    return decoder


def _teach(decoder: Any, pronunciations: Mapping[str, Sequence[str]]) -> None:  # noqa: ANN401 - pocketsphinx ships no types
    """Add what the engine's dictionary lacks; the last addition alone makes it take them up."""
    new: list[tuple[str, str]] = []
    for word, spoken in pronunciations.items():
        known = list(_spoken(decoder, word))
        for phones in spoken:
            if phones not in known:
                known.append(phones)
                new.append((word if len(known) == 1 else f"{word}({len(known)})", phones))
    for entry, phones in new:
        decoder.add_word(entry, phones, (entry, phones) == new[-1])


def _spoken(decoder: Any, word: str) -> Iterator[str]:  # noqa: ANN401 - pocketsphinx ships no types
    for number in count(1):
        phones = decoder.lookup_word(word if number == 1 else f"{word}({number})")
        if phones is None:
            return
        yield phones


def _known(words: frozenset[str]) -> frozenset[str]:
    """Those of the words that the engine's own dictionary pronounces."""
    from pocketsphinx import get_model_path

    path = Path(get_model_path("en-us/cmudict-en-us.dict"))
    with path.open(encoding="utf-8") as entries:
        return words & {entry.split(maxsplit=1)[0] for entry in entries if entry.strip()}


def _dithered(pcm: bytes) -> bytes:
    """The sound with faint noise under it and a little before and after; the same each time."""
    import numpy as np

    quiet = np.zeros(EAR_RATE_HZ // 5, dtype=np.float64)
    sound = np.concatenate((quiet, np.frombuffer(pcm, dtype="<i2").astype(np.float64), quiet))
    sound += np.random.default_rng(_SEED).normal(0.0, _DITHER, sound.size)
    return np.clip(np.round(sound), -32768, 32767).astype("<i2").tobytes()


def _bytes(seconds: float) -> int:
    return int(seconds * EAR_RATE_HZ) * BYTES_PER_SAMPLE


def _version() -> str:
    from importlib.metadata import version

    return version("pocketsphinx")
