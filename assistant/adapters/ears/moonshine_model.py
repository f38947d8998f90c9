"""The small neural speech model: its files found and checked, and one step of it at a time.

Moonshine tiny, English (Jeffries et al. 2024, "Moonshine: Speech Recognition for Live
Transcription and Voice Commands", arXiv 2410.15608): 27 million parameters, MIT licence.  Its
three files travel in the wheel of moonshine-voice; that package's own code is not imported, since
it loads a second speech library.  onnxruntime carries the arithmetic out on one thread.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.ears.moonshine_tokens import START, Alphabet
from assistant.audio import EAR_RATE_HZ
from assistant.errors import EngineUnavailable

Floats: TypeAlias = NDArray[np.float32]

PACKAGE: Final = "moonshine_voice"
_REMEDY: Final = "Run: pip install moonshine-voice==0.0.73, or name a folder with the three files."

ENCODER: Final = "encoder_model.ort"
DECODER: Final = "decoder_model_merged.ort"
ALPHABET: Final = "tokenizer.bin"

DIGESTS: Final[Mapping[str, str]] = {
    ENCODER: "94e90a4654fc45cdfedb77c4c08e1739f48862998e58fada384b25118134f221",
    DECODER: "cf524c4862d36e9e5ab032eddc73637efd822d70e868ac575cf1a46e1e4708a0",
    ALPHABET: "6884b35fd6377d4c4d32336a0bc152f36b64d1e45b6503683cdc238250a8472d",
}
"""SHA-256 of the files in the wheels 0.0.49 and 0.0.73, computed from the wheels themselves."""


@dataclass(frozen=True, slots=True)
class Sound:
    """One utterance as the encoder sees it."""

    states: Floats
    seconds: float


@dataclass(frozen=True, slots=True)
class Memory:
    """What the decoder keeps of the pieces so far, one row for each hypothesis."""

    of_sound: Mapping[str, Floats]
    of_text: Mapping[str, Floats]


class SpeechModel:
    """The model; raises EngineUnavailable when a file or onnxruntime is missing.

    The decoder, which is most of it and only writes words, is loaded by `load_decoder`, or else
    when it is first needed.
    """

    def __init__(self, folder: Path | None = None, threads: int = 1) -> None:
        folder = folder or packaged_folder()
        self.folder = folder
        self._threads = threads
        self._encoded: tuple[Floats, Sound] | None = None
        self._encoder = self._loaded(ENCODER)

    @cached_property
    def alphabet(self) -> Alphabet:
        """The pieces in which the decoder writes."""
        return Alphabet(_checked(self.folder / ALPHABET))

    def load_decoder(self) -> None:
        """Load what only writing needs; raises EngineUnavailable."""
        _ = self.alphabet, self._decoder

    @cached_property
    def _decoder(self) -> Any:  # noqa: ANN401 - onnxruntime has no types
        return self._loaded(DECODER)

    @cached_property
    def _wanted(self) -> list[str]:
        outputs = [one.name for one in self._decoder.get_outputs()]
        return ["logits", *(name for name in outputs if ".decoder." in name)]

    @cached_property
    def _pasts(self) -> list[str]:
        inputs = [one.name for one in self._decoder.get_inputs()]
        return [name for name in inputs if name.startswith("past_")]

    def _loaded(self, name: str) -> Any:  # noqa: ANN401 - onnxruntime has no types
        content = _checked(self.folder / name)
        try:
            return session_of(content, self._threads)
        except Exception as error:
            raise EngineUnavailable(
                f"The speech model in {self.folder} cannot be loaded: {error}.", _REMEDY
            ) from error

    def encode(self, samples: Floats) -> Sound:
        """What the encoder makes of samples at 16 kHz, from −1 to 1; at least 0.1 s of them."""
        last = self._encoded
        if last is not None and np.array_equal(last[0], samples):
            # two ears share this model, and hear the same sound one after the other
            return last[1]
        mask = np.ones((1, len(samples)), np.int64)
        (states,) = self._encoder.run(None, {"input_values": samples[None], "attention_mask": mask})
        sound = Sound(states, len(samples) / EAR_RATE_HZ)
        # one of them may be opened by another thread meanwhile: nothing is read back from here
        self._encoded = samples, sound
        return sound

    def begin(self, sound: Sound) -> tuple[Floats, Memory]:
        """Log-probabilities of every first piece, as one row, and the memory to go on from."""
        empty = np.zeros((1, 8, 0, 36), np.float32)
        given = dict.fromkeys(self._pasts, empty)
        outputs = [one.name for one in self._decoder.get_outputs()]
        found = dict(
            zip(outputs, self._run(outputs, sound, ([[START]], given), later=False), strict=True)
        )
        logits = found.pop("logits")
        kept = {_as_past(name): value for name, value in found.items()}
        of_sound = {name: value for name, value in kept.items() if ".encoder." in name}
        of_text = {name: value for name, value in kept.items() if ".decoder." in name}
        return _log_probabilities(logits[:, -1]), Memory(of_sound, of_text)

    def after(self, sound: Sound, texts: Sequence[Sequence[int]]) -> Floats:
        """Log-probabilities after each of several texts of one length, one row for each."""
        return _log_probabilities(self._read(sound, texts)[:, -1])

    def along(self, sound: Sound, text: Sequence[int]) -> Floats:
        """Log-probabilities before each piece of a text, one row for each."""
        return _log_probabilities(self._read(sound, [text[:-1]])[0])

    def _read(self, sound: Sound, texts: Sequence[Sequence[int]]) -> Floats:
        given = dict.fromkeys(self._pasts, np.zeros((1, 8, 0, 36), np.float32))
        started = [[START, *text] for text in texts]
        # without a memory the decoder wants the sound once for each text
        repeated = Sound(sound.states.repeat(len(texts), axis=0), sound.seconds)
        (logits,) = self._run(["logits"], repeated, (started, given), later=False)
        found: Floats = logits
        return found

    def step(
        self, sound: Sound, memory: Memory, parents: Sequence[int], pieces: Sequence[int]
    ) -> tuple[Floats, Memory]:
        """The same after one more piece for each hypothesis, each grown from a row of `memory`."""
        rows = list(parents)
        of_text = {name: value[rows] for name, value in memory.of_text.items()}
        last = [[piece] for piece in pieces]
        found = self._run(self._wanted, sound, (last, {**memory.of_sound, **of_text}), later=True)
        grown = {
            _as_past(name): value for name, value in zip(self._wanted[1:], found[1:], strict=True)
        }
        return _log_probabilities(found[0][:, -1]), Memory(memory.of_sound, grown)

    def _run(
        self,
        wanted: Sequence[str],
        sound: Sound,
        text: tuple[Sequence[Sequence[int]], Mapping[str, Floats]],
        *,
        later: bool,
    ) -> list[Any]:
        pieces, past = text
        given = {
            # the decoder takes every 384th of the mask: one that hides nothing needs only the
            # first, and one as long as the states comes out as two from 9.2 seconds on
            "encoder_attention_mask": np.ones((len(sound.states), 1), np.int64),
            "input_ids": np.array(pieces, np.int64),
            "encoder_hidden_states": sound.states,
            "use_cache_branch": np.array([later]),
            **past,
        }
        found: list[Any] = self._decoder.run(wanted, given)
        return found


@contextmanager
def engine_trouble() -> Iterator[None]:
    """The one place where what onnxruntime raises becomes ours."""
    try:
        yield
    except EngineUnavailable:
        raise
    except Exception as error:
        # onnxruntime's own failures share no class with anything but Exception
        raise EngineUnavailable(
            f"The speech model does not work: {error}.", "Install onnxruntime again."
        ) from error


def packaged_folder() -> Path:
    """Where the installed package keeps the model; raises EngineUnavailable without it."""
    found = find_spec(PACKAGE)
    places = found.submodule_search_locations if found else None
    if not places:
        raise EngineUnavailable("The speech model (moonshine-voice) is not installed.", _REMEDY)
    return Path(next(iter(places))) / "assets" / "tiny-en"


def _checked(path: Path) -> bytes:
    try:
        content = path.read_bytes()
    except OSError as error:
        raise EngineUnavailable(
            f"The speech model's file {path} cannot be read: {error.strerror}.", _REMEDY
        ) from error
    if hashlib.sha256(content).hexdigest() != DIGESTS[path.name]:
        raise EngineUnavailable(
            f"The file {path} is not the speech model that dosewren was tested with.", _REMEDY
        )
    return content


def session_of(content: bytes, threads: int) -> Any:  # noqa: ANN401 - onnxruntime has no types
    """A model in the content of a file, ready to run."""
    onnxruntime = _quiet_onnxruntime()
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = threads
    options.inter_op_num_threads = 1
    options.enable_cpu_mem_arena = False
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(content, options, providers=["CPUExecutionProvider"])


def _quiet_onnxruntime() -> Any:  # noqa: ANN401 - onnxruntime has no types
    """The library with its reports to its makers turned off before it can send the first.

    From 1.32 on it opens an internet socket by itself when a session is made; nothing of ours may
    use the network (tests/house/test_no_network.py would end the process).
    """
    os.environ["ORT_DISABLE_TELEMETRY"] = "1"
    import onnxruntime

    onnxruntime.disable_telemetry_events()
    return onnxruntime


def _as_past(name: str) -> str:
    return name.replace("present", "past_key_values", 1)


def _log_probabilities(logits: Floats) -> Floats:
    """The logarithms of the shares, worked out in place: this is a good part of a step's time."""
    logits -= logits.max(axis=-1, keepdims=True)
    logits -= np.log(np.exp(logits).sum(axis=-1, keepdims=True))
    return logits
