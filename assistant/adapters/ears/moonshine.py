"""The writing ear: a small neural model that writes text, held to our grammar as it writes.

Nothing is decoded before the utterance is over; then the work is bounded by its length and by the
limits of the search.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import islice
from pathlib import Path

from assistant.adapters.ears.grammar_search import Found, Limits, Listener
from assistant.adapters.ears.moonshine_model import Sound, SpeechModel, engine_trouble
from assistant.adapters.ears.neural_sound import faint_noise, levelled
from assistant.adapters.ears.token_grammar import TokenGrammar
from assistant.adapters.ears.utterance_ears import UtteranceEars
from assistant.adapters.ears.word_graph import GraphOf, word_graph
from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ
from assistant.hearing.awaited import is_snug, together, weighed
from assistant.hearing.evidence import NOTHING, Evidence, Reading
from assistant.hearing.gathering import gathered
from assistant.language.expected import Expected
from assistant.language.lexicon import Lexicon
from assistant.language.meaning import meaning_in
from assistant.language.narrowing import fit_of, narrowed
from assistant.language.writing import for_writing_ears

_SILENCE_S = 0.3
_SILENCE_LEVEL = 1e-3

_MOST_WORDINGS = 24
"""How many of the texts found are read; further ones carry next to no belief."""

_MOST_NARROWER = 16
"""The narrowed grammars that are kept; each takes 0.03 to 0.2 seconds to make."""


class MoonshineEars(UtteranceEars):
    """The model bound to a lexicon; `graph_of` makes the graph, or knows where one is kept."""

    def __init__(
        self,
        model: SpeechModel,
        lexicon: Lexicon,
        limits: Limits | None = None,
        graph_of: GraphOf = word_graph,
    ) -> None:
        super().__init__()
        self._model = model
        self._lexicon = lexicon
        self._meaning = meaning_in(lexicon)
        self._narrowed = lru_cache(_MOST_NARROWER)(self._narrowed_to)
        model.load_decoder()
        with engine_trouble():
            graph = graph_of(for_writing_ears(lexicon.grammar))
            whole = TokenGrammar(graph, model.alphabet)
            silence = model.encode(faint_noise(_SILENCE_S, _SILENCE_LEVEL))
            self._listener = Listener(model, whole, silence, limits)

    @property
    def name(self) -> str:
        """The engine and its version."""
        return f"moonshine, onnxruntime {_version()}"

    @property
    def model(self) -> str:
        """The model and where it is."""
        return f"Moonshine tiny English, {self._model.folder}"

    def deaf_to(self) -> Sequence[str]:
        """Nothing: the model spells whatever it is given."""
        return ()

    def _listen(self, pcm: bytes) -> Evidence:
        samples = levelled(pcm)
        if samples is None:
            return NOTHING
        with engine_trouble():
            sound = self._model.encode(samples)
            seconds = len(pcm) / BYTES_PER_SAMPLE / EAR_RATE_HZ
            if not self._expected.sayings:
                return self._searched(self._listener, sound, seconds)
            # which weights are likely makes no other grammar
            narrow = self._searched(self._narrowed(self._expected.worded), sound, seconds)
            if not is_snug(narrow):
                whole = self._searched(self._listener, sound, seconds)
                narrow = together(narrow, whole, self._meaning)
        return weighed(narrow, lambda words: fit_of(words, self._expected, self._lexicon))

    def _narrowed_to(self, worded: Expected) -> Listener:
        graph = word_graph(for_writing_ears(narrowed(self._lexicon, worded)))
        pieces = self._listener.grammar.vocabulary
        return self._listener.within(TokenGrammar(graph, self._model.alphabet, pieces))

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


def open_moonshine(
    lexicon: Lexicon, folder: Path | None = None, limits: Limits | None = None
) -> MoonshineEars:
    """The ear with the packaged model, or the one in `folder`; raises EngineUnavailable."""
    return MoonshineEars(SpeechModel(folder), lexicon, limits)


def _version() -> str:
    from importlib.metadata import version

    return version("onnxruntime")
