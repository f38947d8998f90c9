"""The better ear, when its model is at hand: Vosk, held to the grammar by a list of phrases.

No registry carries the English model, so it is found in a folder, given, or fetched by Vosk's own
downloader when the keeper asks for it.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

from assistant.adapters.ears.utterance_sound import must_be_at_ear_rate
from assistant.adapters.ears.vosk_models import (
    MODEL_NAME,
    fetch_vosk_model,
    find_vosk_model,
    is_vosk_model,
)
from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.errors import EngineUnavailable
from assistant.hearing.awaited import FitOfWords, likelier
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Alternative, Channel, Heard

__all__ = ["LONGEST_S", "VoskEars", "fetch_vosk_model", "find_vosk_model", "open_vosk"]

LONGEST_S = 30.0
"""Of a longer utterance nothing is heard: half a sentence can mean another dose."""

_UNKNOWN = "[unk]"
_MOST_ALTERNATIVES = 6
_BLOCK = 8000
_OPEN_GRAPH = ("HCLr.fst", "Gr.fst")
"""What a model needs to be held to a grammar; one with a ready-made graph would ignore it."""

_SILENT = -10
"""Vosk still prints warnings at -1 and errors at -2."""

_REMEDY = "Fetch the model again, or leave it out: the embedded ear needs none."


class VoskEars:
    """Vosk bound to one model and one grammar, which should hold no word from `deaf`.

    Vosk gives either a confidence for each word or alternatives, never both (its issue 1595).
    Alternatives are chosen: "did you mean" needs them, and under a grammar the words' confidences
    are near 1 even where they are wrong (its issues 741, 1339 and 2041).  The confidence here is
    each alternative's share of belief by Vosk's scores: evidence only.

    Where something is expected, the other alternatives pay, by how well `fit` says that they fit.
    Hearing under a narrower list was tried and left out: with fewer phrases the same word has quite
    another score (147 against 93, in natural log units), so that an answer would always have won.
    """

    def __init__(
        self,
        model_folder: Path,
        grammar: EngineGrammar,
        deaf: Sequence[str] = (),
        fit: FitOfWords | None = None,
    ) -> None:
        self._deaf = tuple(deaf)
        self._fit = fit
        self._expected = ANYTHING
        self._model = _model(model_folder)
        self._folder = model_folder
        missing = _missing(self._model, grammar.words)
        if missing:
            # Vosk itself would drop the word and keep the rest of the phrase
            raise EngineUnavailable(
                f"The Vosk model does not know: {', '.join(sorted(missing))}.",
                "Leave the words out of the grammar, or use another model.",
            )
        phrases = [*dict.fromkeys(grammar.phrases)]
        if _knows(self._model, _UNKNOWN):
            phrases.append(_UNKNOWN)
        self._phrases = json.dumps(phrases, ensure_ascii=False)
        self._recognizer: Any = None
        self._said: list[Mapping[str, Any]] = []
        self._bytes = 0

    @property
    def name(self) -> str:
        """The engine and its version."""
        from importlib.metadata import version

        return f"vosk {version('vosk')}"

    @property
    def model(self) -> str:
        """The model's folder name."""
        return self._folder.resolve().name

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Start afresh: the engine would otherwise carry the last speaker over."""
        self._expected = expected
        with _engine_trouble():
            from vosk import KaldiRecognizer

            self._recognizer = KaldiRecognizer(self._model, EAR_RATE_HZ, self._phrases)
            self._recognizer.SetMaxAlternatives(_MOST_ALTERNATIVES)
        self._said = []
        self._bytes = 0

    def feed(self, clip: Clip) -> None:
        """Take in a clip at 16 kHz; raises AudioProblem for another rate."""
        must_be_at_ear_rate(clip)
        self._bytes += len(clip.pcm)
        if self._bytes > LONGEST_S * EAR_RATE_HZ * BYTES_PER_SAMPLE:
            return
        with _engine_trouble():
            for at in range(0, len(clip.pcm), _BLOCK):
                if self._recognizer.AcceptWaveform(clip.pcm[at : at + _BLOCK]):
                    self._said.append(json.loads(self._recognizer.Result()))

    def finish(self) -> Heard:
        """What was said; empty words when it was nothing, or too long."""
        with _engine_trouble():
            self._said.append(json.loads(self._recognizer.FinalResult()))
        said, self._said = self._said, []
        if self._bytes > LONGEST_S * EAR_RATE_HZ * BYTES_PER_SAMPLE:
            return self._heard(())
        return self._heard(
            likelier(_joined([_shares(part) for part in said]), self._expected, self._fit)
        )

    def deaf_to(self) -> Sequence[str]:
        """The words that were left out of the grammar because the model does not know them."""
        return self._deaf

    @staticmethod
    def unknown_words(words: frozenset[str], model_folder: Path) -> frozenset[str]:
        """Those of the words that the model does not know."""
        return _missing(_model(model_folder), words)

    def _heard(self, paths: Sequence[Alternative]) -> Heard:
        usable = [path for path in paths if path.words]
        if not usable or not paths[0].words:
            return Heard("", 0.0, tuple(usable), Channel.VOICE, self.name)
        first, *rest = usable
        return Heard(first.words, first.confidence, tuple(rest), Channel.VOICE, self.name)


def open_vosk(
    model_folder: Path,
    compile_without: Callable[[frozenset[str]], EngineGrammar],
    fit: FitOfWords | None = None,
) -> VoskEars:
    """The ear for a grammar that is compiled once more when the model lacks some of its words.

    With `fit` it weighs what it hears by what is expected.
    """
    grammar = compile_without(frozenset())
    deaf = VoskEars.unknown_words(grammar.words, model_folder)
    if deaf:
        grammar = compile_without(deaf)
    return VoskEars(model_folder, grammar, sorted(deaf), fit)


@contextmanager
def _engine_trouble() -> Iterator[None]:
    """The one place where what the engine raises, bare Exceptions among it, becomes ours."""
    try:
        yield
    except EngineUnavailable:
        raise
    except Exception as error:
        raise EngineUnavailable(f"Vosk does not work: {error}.", _REMEDY) from error


@lru_cache(maxsize=1)
def _model(folder: Path) -> Any:  # noqa: ANN401 - vosk ships no types
    """The model, loaded once: it takes seconds and hundreds of megabytes."""
    if not is_vosk_model(folder):
        raise EngineUnavailable(f"{folder} is not a Vosk model.", _REMEDY)
    if not all((folder / "graph" / name).is_file() for name in _OPEN_GRAPH):
        raise EngineUnavailable(
            f"The Vosk model {folder} cannot be held to a grammar.",
            f"Use a small model, such as {MODEL_NAME}.",
        )
    with _engine_trouble():
        import vosk

        vosk.SetLogLevel(_SILENT)
        # never Model() without a path: that would download one, or end the program
        return vosk.Model(str(folder))


def _missing(model: Any, words: frozenset[str]) -> frozenset[str]:  # noqa: ANN401 - vosk ships no types
    with _engine_trouble():
        return frozenset(word for word in words if not _knows(model, word))


def _knows(model: Any, word: str) -> bool:  # noqa: ANN401 - vosk ships no types
    return int(model.vosk_model_find_word(word)) >= 0


def _shares(part: Mapping[str, Any]) -> tuple[Alternative, ...]:
    """One stretch of speech: its wordings with their share of belief.

    Vosk's "confidence" of a wording is a log likelihood.  A wording in which a word was not of the
    grammar has no words here: to leave out the one word could turn the sense.
    """
    wordings = part.get("alternatives", ())
    if not wordings or not any(wording["text"] for wording in wordings):
        return ()
    top = max(float(wording["confidence"]) for wording in wordings)
    weights = [math.exp(float(wording["confidence"]) - top) for wording in wordings]
    return tuple(
        Alternative("" if _UNKNOWN in wording["text"] else wording["text"], weight / sum(weights))
        for wording, weight in zip(wordings, weights, strict=True)
    )


def _joined(parts: Sequence[tuple[Alternative, ...]]) -> tuple[Alternative, ...]:
    """The stretches of one utterance as one: the best of each, then with one of them exchanged."""
    spoken = [part for part in parts if part]
    best = [part[0] for part in spoken]
    exchanged = (
        [*best[:place], other, *best[place + 1 :]]
        for place, part in enumerate(spoken)
        for other in part[1:]
    )
    return tuple(_whole(wording) for wording in (best, *exchanged) if wording)


def _whole(parts: Sequence[Alternative]) -> Alternative:
    words = " ".join(part.words for part in parts) if all(part.words for part in parts) else ""
    return Alternative(words, math.prod(part.confidence for part in parts))
