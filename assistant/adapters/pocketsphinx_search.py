"""One search of pocketsphinx's decoder: what it heard, and how well that fits the sound."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

from assistant.adapters.word_graph import WordGraph
from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ
from assistant.language.heard import Alternative

_FRAMES_A_SECOND = 100
_MOST_ALTERNATIVES = 8
_MOST_PATHS = 60

SHARPNESS = 60.0
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


@dataclass(frozen=True, slots=True)
class Search:
    """A grammar that the decoder knows by name."""

    name: str
    graph: WordGraph


@dataclass(frozen=True, slots=True)
class Decoded:
    """What one search made of a sound: the wordings, the score of the best one, its misfit."""

    paths: tuple[Alternative, ...]
    score: float
    misfit: float


NOTHING = Decoded((), -math.inf, math.inf)
"""No words that fit."""


def bind(decoder: Any, graph: WordGraph, name: str) -> Search:  # noqa: ANN401 - pocketsphinx ships no types
    """Teach the decoder a grammar by name."""
    fsg = decoder.create_fsg(name, 0, len(graph.steps), _steps(graph))
    decoder.add_fsg(name, fsg)
    return Search(name, graph)


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


def decode(decoder: Any, pcm: bytes, search: Search) -> Decoded:  # noqa: ANN401 - pocketsphinx ships no types
    """The words heard and what else they might have been, likeliest first."""
    decoder.activate_search(search.name)
    # the noise filter and the level would otherwise remember the utterance before
    decoder.reinit_feat()
    decoder.start_utt()
    decoder.process_raw(pcm, full_utt=True)
    decoder.end_utt()
    best = decoder.hyp()
    if best is None or not best.hypstr:
        return NOTHING
    log = decoder.get_logmath().log
    words = [part for part in decoder.seg() if part.word[0] not in "<[(+"]
    misfit = _misfit(words, log)
    if misfit > _WORST_FIT or _covered(words, pcm) < _LEAST_COVERED:
        return NOTHING
    scores: dict[str, float] = {}
    paths = decoder.nbest() if misfit < _WORST_FOR_ALTERNATIVES else ()
    for path in islice(paths, _MOST_PATHS):
        # the list holds gaps, and paths that break off in the middle of the grammar
        if path is not None and path.score > 0 and search.graph.accepts(path.hypstr.split()):
            scores.setdefault(path.hypstr, log(path.score))
    # the list counts silence in another way, so its own score for the best words comes first
    own = scores.pop(best.hypstr, log(best.score))
    return Decoded(_shares({best.hypstr: own} | scores, _belief(misfit)), own, misfit)


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
    weights = {words: math.exp((score - top) / SHARPNESS) for words, score in scores.items()}
    belief = fit / sum(weights.values())
    first, *rest = (Alternative(words, weight * belief) for words, weight in weights.items())
    rest.sort(key=lambda one: one.confidence, reverse=True)
    return (first, *rest[:_MOST_ALTERNATIVES])
