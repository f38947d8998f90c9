"""The embedded ear: pocketsphinx with the US English model that its package brings along.

Nothing needs to be downloaded.  The whole utterance is collected first and then decoded at once, so
that the sound is levelled over all of it and no utterance depends on the one before.
"""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import count, islice
from pathlib import Path
from typing import Any

from assistant.adapters.ears.audible import made_audible
from assistant.adapters.ears.pronunciations import dictionary_pronunciations
from assistant.adapters.ears.utterance_sound import UtteranceSound
from assistant.adapters.ears.word_graph import WordGraph, word_graph
from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.errors import EngineUnavailable
from assistant.hearing.awaited import FitOfWords, likelier
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

_GRAMMAR = "grammar"
_NO_WORD = "a AH\n"
_FRAMES_A_SECOND = 100
_REMEDY = "Install the Python package pocketsphinx again."
_MOST_ALTERNATIVES = 8
_MOST_PATHS = 60

_SHARPNESS = 60.0
"""By how much the score of a path must fall for its share to fall to 1/e.  Scores are in steps of
1024 × ln 1.0001; taken at their word they would make the engine sure of everything."""

_HALF_FIT = 50.0
_FIT_WIDTH = 6.0
_WORST_FIT = 70.0
_WORST_FOR_ALTERNATIVES = 65.0
"""How far, for a frame of 10 ms, the words lie behind the best sounds of any kind: 20 to 50 where
they were right, 50 to 70 where they were not.  Beyond that the list of alternatives is worth
nothing, and on birdsong takes longer than all the rest."""

_LEAST_COVERED = 0.4
"""The least part of what sounds like a voice that the words must account for: at least 0.74 where
they were right, measured; steady noise around a phrase counts as voice too."""


class PocketsphinxEars:
    """pocketsphinx bound to one grammar, which must not hold a word from `unknown_words`.

    `deaf` names the words that the caller left out of the grammar for that reason.  The confidence
    is the words' share among the best paths through the lattice times how well the sound fits
    them: evidence only, measured on synthetic voices (assistant/bench/ears_bench.py).

    Where something is expected, wordings pay by how badly `fit` says that they fit.  A search
    through a narrower grammar was tried and left out: the engine scores a frame against the best
    sound that its grammar allows there, so that under few words all seems to fit, and scores of two
    grammars cannot be compared.  Weights became no more often right by it (10 of 20), a new bird 2
    times in place of 8 (assistant/bench/answers_bench.py).
    """

    def __init__(
        self,
        grammar: EngineGrammar,
        pronunciations: Mapping[str, Sequence[str]],
        deaf: Sequence[str] = (),
        fit: FitOfWords | None = None,
    ) -> None:
        self._deaf = tuple(deaf)
        self._fit = fit
        self._expected = ANYTHING
        self._sound = UtteranceSound(SHORTEST_S, LONGEST_S)
        with _engine_trouble():
            self._graph = word_graph(read_grammar(grammar.jsgf, {}))
            self._decoder = _decoder(grammar.words, pronunciations)
            _bind(self._decoder, self._graph)

    @property
    def name(self) -> str:
        """The engine and its version."""
        return f"pocketsphinx {_version()}"

    @property
    def model(self) -> str:
        """The acoustic model, which comes with the engine."""
        return "US English (en-us), built in"

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Forget what came before."""
        self._sound.clear()
        self._expected = expected

    def feed(self, clip: Clip) -> None:
        """Take in a clip at 16 kHz; raises AudioProblem for another rate."""
        self._sound.add(clip)

    def finish(self) -> Heard:
        """What was said; empty words when it was nothing, too short or too long."""
        pcm = self._sound.take()
        if not pcm:
            return self._heard(())
        with _engine_trouble():
            paths = _decode(self._decoder, made_audible(pcm), self._graph)
        return self._heard(likelier(paths, self._expected, self._fit))

    def deaf_to(self) -> Sequence[str]:
        """The words that were left out of the grammar because the engine has no sound for them."""
        return self._deaf

    @staticmethod
    def unknown_words(
        words: frozenset[str], pronunciations: Mapping[str, Sequence[str]]
    ) -> frozenset[str]:
        """Those of the words that neither the engine's dictionary nor ours can pronounce."""
        missing = words - pronunciations.keys()
        return missing - dictionary_pronunciations(missing).keys() if missing else missing

    def _heard(self, paths: Sequence[Alternative]) -> Heard:
        first = paths[0] if paths else Alternative("", 0.0)
        return Heard(first.words, first.confidence, tuple(paths[1:]), Channel.VOICE, self.name)


def open_pocketsphinx(
    compile_without: Callable[[frozenset[str]], EngineGrammar],
    pronunciations: Mapping[str, Sequence[str]],
    fit: FitOfWords | None = None,
) -> PocketsphinxEars:
    """The ear for a grammar that is compiled once more when some of its words cannot be heard.

    With `fit` it weighs what it hears by what is expected.
    """
    grammar = compile_without(frozenset())
    with _engine_trouble():
        deaf = PocketsphinxEars.unknown_words(grammar.words, pronunciations)
    if deaf:
        grammar = compile_without(deaf)
    return PocketsphinxEars(grammar, pronunciations, sorted(deaf), fit)


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

    with _only(dictionary_pronunciations(words)) as dictionary:
        decoder = Decoder(**_SEARCH, dict=dictionary)
    ours = sorted(words & pronunciations.keys())
    _teach(decoder, {word: pronunciations[word] for word in ours})
    if unknown := sorted(word for word in words if decoder.lookup_word(word) is None):
        raise EngineUnavailable(
            f"pocketsphinx cannot pronounce: {', '.join(unknown)}.",
            "Leave the words out of the grammar, or give them a pronunciation.",
        )
    return decoder


@contextmanager
def _only(spoken: Mapping[str, Sequence[str]]) -> Iterator[str]:
    """A dictionary with these words alone, which saves 22 MiB; gone once it is read."""
    entries = (
        f"{word}({number})" if number > 1 else word
        for word in spoken
        for number in range(1, len(spoken[word]) + 1)
    )
    lines = zip(entries, (phones for every in spoken.values() for phones in every), strict=True)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "words.dict")
        # the engine takes no dictionary without a word
        path.write_text("".join(f"{e} {p}\n" for e, p in lines) or _NO_WORD, encoding="utf-8")
        yield str(path)


def _bind(decoder: Any, graph: WordGraph) -> None:  # noqa: ANN401 - pocketsphinx ships no types
    fsg = decoder.create_fsg(_GRAMMAR, 0, len(graph.steps), _steps(graph))
    decoder.add_fsg(_GRAMMAR, fsg)
    decoder.activate_search(_GRAMMAR)


def _steps(graph: WordGraph) -> list[tuple[int, int, float] | tuple[int, int, float, str]]:
    """The automaton as pocketsphinx takes it: one end, reached by steps without a word.

    Every step weighs the same, so no bird is likelier for being asked for in fewer ways.
    """
    end = len(graph.steps)
    spoken = (
        (state, after, 1.0, word)
        for state, row in enumerate(graph.steps)
        for word, after in row.items()
    )
    return [*spoken, *((state, end, 1.0) for state in sorted(graph.ends))]


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


def _decode(decoder: Any, pcm: bytes, graph: WordGraph) -> tuple[Alternative, ...]:  # noqa: ANN401 - pocketsphinx ships no types
    """The words heard and what else they might have been, likeliest first."""
    # the noise filter and the level would otherwise remember the utterance before
    decoder.reinit_feat()
    decoder.start_utt()
    decoder.process_raw(pcm, full_utt=True)
    decoder.end_utt()
    best = decoder.hyp()
    if best is None or not best.hypstr:
        return ()
    log = decoder.get_logmath().log
    words = [part for part in decoder.seg() if part.word[0] not in "<[(+"]
    misfit = _misfit(words, log)
    if misfit > _WORST_FIT or _covered(words, pcm) < _LEAST_COVERED:
        return ()
    scores: dict[str, float] = {}
    paths = decoder.nbest() if misfit < _WORST_FOR_ALTERNATIVES else ()
    for path in islice(paths, _MOST_PATHS):
        # the list holds gaps, and paths that break off in the middle of the grammar
        if path is not None and path.score > 0 and graph.accepts(path.hypstr.split()):
            scores.setdefault(path.hypstr, log(path.score))
    # the list counts silence in another way, so its own score for the best words comes first
    own = scores.pop(best.hypstr, log(best.score))
    return _shares({best.hypstr: own} | scores, _belief(misfit))


def _belief(misfit: float) -> float:
    """From 1 for a perfect fit down to 0."""
    return 1 / (1 + math.exp((misfit - _HALF_FIT) / _FIT_WIDTH))


def _misfit(words: Sequence[Any], log: Callable[[float], float]) -> float:
    """How far the words lie behind the best sounds of any kind, for a frame.

    The engine scores each frame against its own best sound, so this costs nothing more.
    """
    frames = sum(int(part.end_frame) - int(part.start_frame) + 1 for part in words)
    return -sum(log(part.ascore) for part in words if part.ascore > 0) / max(frames, 1)


def _covered(words: Sequence[Any], pcm: bytes) -> float:
    """The part of what sounds like a voice that lies within the words."""
    from pocketsphinx import Vad

    detector = Vad(mode=Vad.MEDIUM_STRICT, sample_rate=EAR_RATE_HZ)
    size = detector.frame_bytes
    voiced = [
        at / BYTES_PER_SAMPLE / EAR_RATE_HZ
        for at in range(0, len(pcm) - size + 1, size)
        if detector.is_speech(pcm[at : at + size])
    ]
    within = (
        any(part.start_frame <= second * _FRAMES_A_SECOND <= part.end_frame for part in words)
        for second in voiced
    )
    return sum(within) / max(len(voiced), 1)


def _shares(scores: Mapping[str, float], fit: float) -> tuple[Alternative, ...]:
    """Belief shared out among the wordings; the engine's own choice stays the first of them."""
    top = max(scores.values())
    weights = {words: math.exp((score - top) / _SHARPNESS) for words, score in scores.items()}
    belief = fit / sum(weights.values())
    first, *rest = (Alternative(words, weight * belief) for words, weight in weights.items())
    rest.sort(key=lambda one: one.confidence, reverse=True)
    return (first, *rest[:_MOST_ALTERNATIVES])


def _version() -> str:
    from importlib.metadata import version

    return version("pocketsphinx")
