"""Where an utterance begins and ends in the sound of a microphone.

The voice detector is WebRTC's, by way of pocketsphinx's Vad, which looks at frames of 30 ms; most
frames of a window must be speech, so that a click or a breath starts nothing.  It is given only the
sound below `_BIRDSONG_HZ`, where voices have most of their power and small birds none, and a frame
must also stand out of the noise of the last seconds there.  What is handed over is the whole sound,
with a little before and after: the first and last consonants are weaker than what is detected.
Chosen and measured by assistant/bench/endpoint_bench.py on noises of the development part.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.ports import Loudness

LONGEST_UTTERANCE_S = 12.0
"""No phrase of a keeper's takes so long."""

GAP = Clip(b"")
"""Stands where sound is missing: what was being said there is never taken for a whole phrase."""

_STRICTEST = 3
_FRAME_S = 0.03
_FRAME = round(_FRAME_S * EAR_RATE_HZ)

_BIRDSONG_HZ = 1000.0
_TAPS = 129
_FLOOR_S = 6.0
_FLOOR_SHARE = 0.15
"""The noise is what the quietest part of the last seconds holds: nobody talks without a gap."""

_ABOVE_FLOOR_DB = 4.0
"""At 6 dB more of music is told from speech, but ends of phrases in steady noise are lost."""

_BELOW_ALL_DB = 42.0
"""A frame with less of its power below birdsong is no voice; the filter lets 1/200 000 through."""

_QUIETEST_DB = -60.0
"""What the noise is taken for at first."""

_BEGINS = 0.7
_ENDS = 0.15
"""Which share of the window must be speech for an utterance to begin; and at most, to be over."""

AROUND_S = 0.36
"""How much of what was there before and after the speech is handed over with it, at most."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """One stretch of speech, with up to `AROUND_S` of what was there before and after it.

    `complete` is false where it was still going on at the limit.  Half a sentence can mean another
    dose, so an incomplete one is never given to an ear.  `began_ago_s` is how long before the
    handing over the speech began, in seconds of sound.
    """

    clip: Clip
    complete: bool = True
    began_ago_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Detection:
    """How speech is told from the rest.

    `pause_s` of quiet ends an utterance.  `strictness` runs from 0 to 3; 3 lets through the least
    noise and loses the most of a quiet voice.
    """

    pause_s: float = 0.45
    strictness: int = 1
    longest_s: float = LONGEST_UTTERANCE_S


def utterances(clips: Iterable[Clip], detection: Detection | None = None) -> Iterator[Utterance]:
    """One utterance after another out of clips at 16 kHz, each as soon as it ends.

    Raises AudioProblem for a clip at another rate.
    """
    endpointer = Endpointer(detection or Detection())
    for clip in clips:
        yield from endpointer.take(clip)
    yield from endpointer.end()


@dataclass(slots=True)
class Endpointer:
    """Cuts the sound into frames, and hands over those that belong to an utterance.

    Noise that passes for speech is handed over as incomplete once it lasts too long; from then on
    the detector is stricter, and nothing is taken until it has found quiet.
    """

    detection: Detection
    left: bytearray = field(default_factory=bytearray)
    speech: bytearray = field(default_factory=bytearray)
    frames_since: int = 0
    """How many frames ago the speech that is being collected began."""

    distrust_s: float = 0.0
    """How long there must still be quiet before speech is taken again."""

    detector: _Detector = field(init=False)
    recent: deque[tuple[bytes, bool]] = field(init=False)
    """The last frames, and which of them passed for speech."""

    def __post_init__(self) -> None:
        """Start with a detector that knows no noise yet."""
        self.detector = _Detector(self.detection.strictness)
        self.recent = deque(maxlen=self._window + round(AROUND_S / _FRAME_S))

    @property
    def is_hearing(self) -> bool:
        """Whether somebody is speaking."""
        return bool(self.speech)

    @property
    def loudness(self) -> Loudness:
        """How loud the last frame was, and the noise of the last seconds."""
        return self.detector.loudness

    def take(self, clip: Clip) -> Iterator[Utterance]:
        """The utterances that end in a clip at 16 kHz; raises AudioProblem for another rate.

        All of the clip is taken in when the last one is handed over.
        """
        if clip.rate_hz != EAR_RATE_HZ:
            raise AudioProblem(
                f"The microphone gives {clip.rate_hz} samples a second, not {EAR_RATE_HZ}.",
                "Choose another microphone.",
            )
        if clip == GAP:
            self.drop()
        self.left += clip.pcm
        size = _FRAME * BYTES_PER_SAMPLE
        whole = bytes(self.left[: len(self.left) // size * size])
        # before the frames are looked at, since any of them may drop what is left
        del self.left[: len(whole)]
        for at in range(0, len(whole), size):
            yield from self._frame(whole[at : at + size])

    def drop(self) -> None:
        """Forget what was being said; what goes on at once may be the rest of it."""
        self.left.clear()
        self.speech.clear()
        self.recent.clear()
        self.distrust_s = 2 * self.detection.pause_s

    def end(self) -> Iterator[Utterance]:
        """What was being said when the sound ended."""
        if self.speech:
            self.speech += self.left
            yield from self._finished()
        self.left.clear()

    @property
    def _window(self) -> int:
        return round(self.detection.pause_s / _FRAME_S)

    @property
    def _most_bytes(self) -> int:
        return int(self.detection.longest_s * EAR_RATE_HZ) * BYTES_PER_SAMPLE

    def _frame(self, frame: bytes) -> Iterator[Utterance]:
        self.recent.append((frame, self.detector.is_speech(frame)))
        spoken = [is_speech for _, is_speech in self.recent][-self._window :]
        if not self.speech:
            self.distrust_s = max(0.0, self.distrust_s - _FRAME_S)
            if sum(spoken) >= _BEGINS * self._window:
                self._begin(spoken)
            return
        self.speech += frame
        self.frames_since += 1
        if len(self.speech) > self._most_bytes:
            yield self._too_long()
        elif sum(spoken) <= _ENDS * self._window:
            self._trim(spoken)
            yield from self._finished()

    def _begin(self, spoken: list[bool]) -> None:
        self.frames_since = len(spoken) - spoken.index(True)
        taken = self.frames_since + round(AROUND_S / _FRAME_S)
        for frame, _ in list(self.recent)[-taken:]:
            self.speech += frame

    def _trim(self, spoken: list[bool]) -> None:
        """Drop what came too long after the last frame that was speech."""
        quiet = [*reversed(spoken), True].index(True)
        dropped = max(0, quiet - round(AROUND_S / _FRAME_S))
        del self.speech[len(self.speech) - dropped * _FRAME * BYTES_PER_SAMPLE :]

    def _finished(self) -> Iterator[Utterance]:
        if self.speech and not self.distrust_s:
            clip = Clip(bytes(self.speech))
            yield Utterance(clip, began_ago_s=self.frames_since * _FRAME_S)
        self.speech.clear()

    def _too_long(self) -> Utterance:
        clip = Clip(bytes(self.speech[: self._most_bytes]))
        self.drop()
        stricter = min(self.detection.strictness + 1, _STRICTEST)
        self.detection = replace(self.detection, strictness=stricter)
        self.detector.be(stricter)
        return Utterance(clip, complete=False, began_ago_s=self.frames_since * _FRAME_S)


class _Detector:
    """Which frames are speech, by WebRTC's detector and by their level below birdsong."""

    def __init__(self, strictness: int) -> None:
        self._taps = _low_pass()
        self._before = np.zeros(_TAPS - 1)
        frames = round(_FLOOR_S / _FRAME_S)
        self._levels: deque[float] = deque([_QUIETEST_DB] * frames, maxlen=frames)
        self.loudness = Loudness(_QUIETEST_DB, _QUIETEST_DB)
        self.be(strictness)

    def be(self, strictness: int) -> None:
        """Go on with another strictness, and what is known of the noise."""
        self._vad = _vad(strictness)

    def is_speech(self, frame: bytes) -> bool:
        """Whether the frame passes for speech; the filter lags by 4 ms."""
        sound = np.concatenate((self._before, np.frombuffer(frame, dtype="<i2")))
        self._before = sound[-(_TAPS - 1) :]
        low = np.convolve(sound, self._taps, "valid")
        level = _decibels(low)
        self._levels.append(level)
        floor = sorted(self._levels)[round(_FLOOR_SHARE * len(self._levels))]
        self.loudness = Loudness(level, floor)
        stands_out = level > floor + _ABOVE_FLOOR_DB and level > _decibels(sound) - _BELOW_ALL_DB
        # the detector must hear every frame, since it learns what is noise
        return bool(self._vad.is_speech(_pcm(low))) and stands_out


def _decibels(samples: NDArray[np.float64]) -> float:
    return 10 * float(np.log10(np.var(samples / 32768) + 1e-10))


def _low_pass() -> NDArray[np.float64]:
    """A filter that lets through what is below birdsong: a sinc under a Hamming window."""
    time = np.arange(_TAPS) - (_TAPS - 1) / 2
    taps = np.sinc(2 * _BIRDSONG_HZ / EAR_RATE_HZ * time) * np.hamming(_TAPS)
    return np.asarray(taps / taps.sum(), dtype=np.float64)


def _pcm(samples: NDArray[np.float64]) -> bytes:
    return np.clip(np.round(samples), -32768, 32767).astype("<i2").tobytes()


def _vad(strictness: int) -> Any:  # noqa: ANN401 - pocketsphinx ships no types
    try:
        from pocketsphinx import Vad
    except (ImportError, OSError) as error:
        raise EngineUnavailable(
            f"The voice detector cannot be loaded: {error}.",
            "Install the Python package pocketsphinx again.",
        ) from error
    return Vad(mode=strictness, sample_rate=EAR_RATE_HZ, frame_length=_FRAME_S)
