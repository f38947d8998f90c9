"""Where an utterance begins and ends in the sound of a microphone.

The voice detector is WebRTC's, by way of pocketsphinx's Endpointer, which looks at frames of 30 ms
and takes a majority over a window, so that a click or a breath starts nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem, EngineUnavailable

LONGEST_UTTERANCE_S = 12.0
"""No phrase of a keeper's takes so long."""

_STRICTEST = 3


@dataclass(frozen=True, slots=True)
class Utterance:
    """One stretch of speech; `complete` is false where it was still going on at the limit.

    Half a sentence can mean another dose, so an incomplete one is never given to an ear.
    """

    clip: Clip
    complete: bool = True


@dataclass(frozen=True, slots=True)
class Detection:
    """How speech is told from the rest.

    `pause_s` of quiet ends an utterance.  `strictness` runs from 0 to 3; 3 lets through the least
    noise and loses the most of a quiet voice.
    """

    pause_s: float = 0.45
    strictness: int = 2
    longest_s: float = LONGEST_UTTERANCE_S


def utterances(clips: Iterable[Clip], detection: Detection | None = None) -> Iterator[Utterance]:
    """One utterance after another out of clips at 16 kHz, each as soon as it ends.

    Noise that passes for speech is handed over as incomplete once it lasts too long; from then on
    the detector is stricter, and nothing is taken until it has found quiet.  Raises AudioProblem
    for a clip at another rate.
    """
    listener = _Listener(detection or Detection())
    for clip in clips:
        if clip.rate_hz != EAR_RATE_HZ:
            raise AudioProblem(
                f"The microphone gives {clip.rate_hz} samples a second, not {EAR_RATE_HZ}.",
                "Choose another microphone.",
            )
        yield from listener.take(clip.pcm)
    yield from listener.end()


@dataclass(slots=True)
class _Listener:
    """Cuts the sound into frames and collects those that are speech."""

    detection: Detection
    left: bytearray = field(default_factory=bytearray)
    speech: bytearray = field(default_factory=bytearray)
    distrust_s: float = 0.0
    """How long there must still be quiet before speech is taken again."""

    endpointer: Any = field(init=False)

    def __post_init__(self) -> None:
        self.endpointer = _endpointer(self.detection)

    def take(self, pcm: bytes) -> Iterator[Utterance]:
        self.left += pcm
        while len(self.left) >= self.endpointer.frame_bytes:
            frame = bytes(self.left[: self.endpointer.frame_bytes])
            del self.left[: self.endpointer.frame_bytes]
            self.speech += self.endpointer.process(frame) or b""
            if len(self.speech) > self._most_bytes:
                yield self._too_long()
            elif not self.endpointer.in_speech:
                yield from self._finished()
                self.distrust_s = max(0.0, self.distrust_s - self.endpointer.frame_length)

    def end(self) -> Iterator[Utterance]:
        # it cannot take an empty frame
        last = bytes(self.left) or bytes(BYTES_PER_SAMPLE)
        self.speech += self.endpointer.end_stream(last) or b""
        self.left.clear()
        yield from self._finished()

    @property
    def _most_bytes(self) -> int:
        return int(self.detection.longest_s * EAR_RATE_HZ) * BYTES_PER_SAMPLE

    def _finished(self) -> Iterator[Utterance]:
        if self.speech and not self.distrust_s:
            yield Utterance(Clip(bytes(self.speech)))
        self.speech.clear()

    def _too_long(self) -> Utterance:
        cut = Utterance(Clip(bytes(self.speech[: self._most_bytes])), complete=False)
        self.speech.clear()
        # a fresh detector calls everything quiet until its first window is full
        self.distrust_s = 2 * self.detection.pause_s
        stricter = min(self.detection.strictness + 1, _STRICTEST)
        self.detection = replace(self.detection, strictness=stricter)
        self.endpointer = _endpointer(self.detection)
        return cut


def _endpointer(detection: Detection) -> Any:  # noqa: ANN401 - pocketsphinx ships no types
    try:
        from pocketsphinx import Endpointer
    except (ImportError, OSError) as error:
        raise EngineUnavailable(
            f"The voice detector cannot be loaded: {error}.",
            "Install the Python package pocketsphinx again.",
        ) from error
    return Endpointer(window=detection.pause_s, vad_mode=detection.strictness)
