"""The writing ear: a small neural model that writes text, held to our grammar as it writes.

Nothing is decoded before the utterance is over; then the work is bounded by its length and by the
limits of the search.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from itertools import islice
from pathlib import Path

import numpy as np

from assistant.adapters.grammar_search import Found, Limits, Listener
from assistant.adapters.moonshine_model import Floats, Sound, SpeechModel
from assistant.adapters.token_grammar import TokenGrammar
from assistant.adapters.word_graph import word_graph
from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.hearing.awaited import is_snug, together, weighed
from assistant.hearing.evidence import NOTHING, Evidence, Reading
from assistant.hearing.gathering import gathered
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.lexicon import Lexicon
from assistant.language.narrowing import fit_of, narrowed
from assistant.language.requests import DoseWanted, Request
from assistant.language.tree import Grammar
from assistant.language.understanding import understand
from assistant.language.writing import for_writing_ears

LONGEST_S = 12.0
"""Of a longer utterance nothing is heard: half a sentence can mean another dose."""

SHORTEST_S = 0.2

QUIETEST_PEAK = 1e-3
"""Below this peak, of 1, nothing was said: digital silence, or a microphone that is not there."""

_PEAK = 0.3
PADDING_S = 0.3
_DITHER = 1e-4
_SEED = 95
_SILENCE_S = 0.3
_SILENCE_LEVEL = 1e-3

_MOST_WORDINGS = 24
"""How many of the texts found are read; further ones carry next to no belief."""

_MOST_NARROWER = 16
"""The narrowed grammars that are kept; each takes 0.03 to 0.2 seconds to make."""


class MoonshineEars:
    """The model bound to a lexicon, or to a narrower grammar over the same names.

    After `finish`, `evidence` holds all that the ear can say.  The confidence in `Heard` is the
    share of the best reading, overconfident by itself: see assistant/hearing/decision.py.
    """

    def __init__(
        self,
        model: SpeechModel,
        lexicon: Lexicon,
        grammar: Grammar | None = None,
        limits: Limits | None = None,
    ) -> None:
        self._model = model
        self._lexicon = lexicon
        self._meaning = meaning_in(lexicon)
        self._pcm = bytearray()
        self._expected = ANYTHING
        # a vocabulary of its own may lack the words of an answer
        self._narrows = grammar is None
        self._narrower: dict[Expected, Listener] = {}
        self.evidence = NOTHING
        with _engine_trouble():
            graph = word_graph(for_writing_ears(grammar or lexicon.grammar))
            whole = TokenGrammar(graph, model.alphabet)
            silence = model.encode(_noise(_SILENCE_S, _SILENCE_LEVEL))
            self._listener = Listener(model, whole, silence, limits)

    @property
    def name(self) -> str:
        """The engine and its version."""
        return f"moonshine, onnxruntime {_version()}"

    @property
    def model(self) -> str:
        """The model and where it is."""
        return f"Moonshine tiny English, {self._model.folder}"

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Forget what came before, and listen first for what is expected."""
        self._pcm.clear()
        self._expected = expected
        self.evidence = NOTHING

    def feed(self, clip: Clip) -> None:
        """Take in a clip at 16 kHz; raises AudioProblem for another rate."""
        if clip.rate_hz != EAR_RATE_HZ:
            raise AudioProblem(
                f"The ear takes {EAR_RATE_HZ} samples a second, not {clip.rate_hz}.",
                "Convert the sound first.",
            )
        room = sound_bytes(LONGEST_S) + BYTES_PER_SAMPLE - len(self._pcm)
        self._pcm += clip.pcm[: max(room, 0)]

    def finish(self) -> Heard:
        """What was said; empty words when it was nothing, too short or too long."""
        pcm = bytes(self._pcm)
        self._pcm.clear()
        self.evidence = self._listen(pcm)
        return self._heard(self.evidence.readings)

    def deaf_to(self) -> Sequence[str]:
        """Nothing: the model spells whatever it is given."""
        return ()

    def _listen(self, pcm: bytes) -> Evidence:
        if not sound_bytes(SHORTEST_S) <= len(pcm) <= sound_bytes(LONGEST_S):
            return NOTHING
        samples = levelled(pcm)
        if samples is None:
            return NOTHING
        with _engine_trouble():
            sound = self._model.encode(samples)
            seconds = len(pcm) / BYTES_PER_SAMPLE / EAR_RATE_HZ
            if not self._narrows or not self._expected.sayings:
                return self._searched(self._listener, sound, seconds)
            narrow = self._searched(self._narrowed(), sound, seconds)
            if not is_snug(narrow):
                whole = self._searched(self._listener, sound, seconds)
                narrow = together(narrow, whole, self._meaning)
        return weighed(narrow, lambda words: fit_of(words, self._expected, self._lexicon))

    def _narrowed(self) -> Listener:
        """The listener for what is expected; which weights are likely makes no other one."""
        key = self._expected.worded
        if key not in self._narrower:
            if len(self._narrower) >= _MOST_NARROWER:
                del self._narrower[next(iter(self._narrower))]
            graph = word_graph(for_writing_ears(narrowed(self._lexicon, key)))
            pieces = self._listener.grammar.vocabulary
            grammar = TokenGrammar(graph, self._model.alphabet, pieces)
            self._narrower[key] = self._listener.within(grammar)
        return self._narrower[key]

    def _searched(self, listener: Listener, sound: Sound, seconds: float) -> Evidence:
        found = listener.search(sound)
        return Evidence(
            self._readings(found, listener.grammar),
            seconds,
            self._model.alphabet.text(found.free.pieces),
            found.free.score,
        )

    def _readings(self, found: Found, grammar: TokenGrammar) -> tuple[Reading, ...]:
        """The requests found, each with the scores of its wordings put together."""
        wordings = islice(found.in_grammar, _MOST_WORDINGS)
        said = [(" ".join(grammar.said(one.pieces)), one.score) for one in wordings]
        return gathered(said, self._meaning)

    def _heard(self, readings: Sequence[Reading]) -> Heard:
        said = [Alternative(one.words, one.share) for one in readings]
        first = said[0] if said else Alternative("", 0.0)
        return Heard(first.words, first.confidence, tuple(said[1:]), Channel.VOICE, self.name)


def open_moonshine(
    lexicon: Lexicon, folder: Path | None = None, limits: Limits | None = None
) -> MoonshineEars:
    """The ear with the packaged model, or the one in `folder`; raises EngineUnavailable."""
    return MoonshineEars(SpeechModel(folder), lexicon, limits=limits)


@contextmanager
def _engine_trouble() -> Iterator[None]:
    """The one place where what the engine raises becomes ours."""
    try:
        yield
    except EngineUnavailable:
        raise
    except Exception as error:
        # onnxruntime's own failures share no class with anything but Exception
        raise EngineUnavailable(
            f"The speech model does not work: {error}.", "Install onnxruntime again."
        ) from error


def meaning_in(lexicon: Lexicon) -> Callable[[str], Hashable]:
    """Tells whether two wordings ask for the same, whatever words they use."""
    known: dict[str, Hashable] = {}

    def meaning(words: str) -> Hashable:
        if words not in known:
            if len(known) >= _MOST_KNOWN:
                known.clear()
            known[words] = _unworded(understand(words, lexicon).requests) or words
        return known[words]

    return meaning


_MOST_KNOWN = 4096


def _unworded(requests: Sequence[Request]) -> tuple[Request, ...]:
    """The requests without the name by which the bird was called."""
    return tuple(
        replace(one, spoken="") if isinstance(one, DoseWanted) else one for one in requests
    )


def levelled(pcm: bytes) -> Floats | None:
    """The samples from -1 to 1 at a settled level, with a little quiet around; None for silence."""
    samples = np.frombuffer(pcm, dtype="<i2").astype(np.float32) / 32768
    peak = float(np.abs(samples).max(initial=0.0))
    if peak < QUIETEST_PEAK:
        return None
    quiet = np.zeros(round(PADDING_S * EAR_RATE_HZ), np.float32)
    padded: Floats = np.concatenate((quiet, samples * np.float32(_PEAK / peak), quiet))
    return padded + _noise(padded.size / EAR_RATE_HZ, _DITHER)


def _noise(seconds: float, level: float) -> Floats:
    """Faint noise, the same each time; the model is unsteady on digital silence."""
    chance = np.random.default_rng(_SEED)
    return chance.normal(0.0, level, round(seconds * EAR_RATE_HZ)).astype(np.float32)


def sound_bytes(seconds: float) -> int:
    """The bytes of so much sound at the ears' rate."""
    return int(seconds * EAR_RATE_HZ) * BYTES_PER_SAMPLE


def _version() -> str:
    from importlib.metadata import version

    return version("onnxruntime")
