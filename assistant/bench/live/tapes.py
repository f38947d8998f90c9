"""Recordings and playing on one clock, that of time.monotonic, in floating point at 16 kHz."""

from __future__ import annotations

import queue
import threading
import time
from types import TracebackType
from typing import Any, Self

import numpy as np
import sounddevice

from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.bench.acoustic.sound import Wave, from_pcm, to_clip

_BLOCK_S = 0.02
_LATENCY_S = 0.1
_PLAY_AHEAD_S = 0.3
_SILENT = 0.01
"""Below this part of full scale nothing is being said; a null sink is silent otherwise."""


class Tape:
    """Records a device while it is open, and knows when each sample was taken.

    A block comes some time after its last sample was taken, never before: the least delay of all
    blocks is that of the device, the same for two monitors of null sinks, and what lies beyond it
    is the machine being busy.
    """

    def __init__(self, device: str) -> None:
        self._blocks: list[bytes] = []
        self._samples = 0
        self._began_s = float("inf")
        self._loud_s = float("-inf")
        self._stream = sounddevice.RawInputStream(
            device=device,
            samplerate=EAR_RATE_HZ,
            channels=1,
            dtype="int16",
            latency=_LATENCY_S,
            blocksize=round(_BLOCK_S * EAR_RATE_HZ),
            callback=self._take,
        )

    def _take(self, block: memoryview, frames: int, *_: object) -> None:
        now, pcm = time.monotonic(), bytes(block)
        self._blocks.append(pcm)
        self._samples += frames
        self._began_s = min(self._began_s, now - self._samples / EAR_RATE_HZ)
        if np.abs(from_pcm(pcm)).max() > _SILENT:
            self._loud_s = now

    @property
    def quiet_s(self) -> float:
        """For how long nothing has been heard."""
        return time.monotonic() - self._loud_s

    def clip(self, from_s: float, to_s: float) -> Clip:
        """What was recorded from one time to another."""
        first, last = (
            max(0, round((at - self._began_s) * EAR_RATE_HZ)) * BYTES_PER_SAMPLE
            for at in (from_s, to_s)
        )
        return Clip(b"".join(self._blocks)[first:last])

    def wave(self, from_s: float, to_s: float) -> Wave:
        """The same as numbers."""
        return from_pcm(self.clip(from_s, to_s).pcm)

    def __enter__(self) -> Self:
        """Begin to record; returns once sound comes in."""
        self._stream.start()
        while not self._samples:
            time.sleep(_BLOCK_S)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Stop recording; what was recorded stays."""
        self._stream.abort()
        self._stream.close()


class Mouth:
    """Plays what it is given to a device, over a noise that never ends."""

    def __init__(self, device: str, noise: Wave) -> None:
        self._noise = noise
        self._at = 0
        self._left = np.zeros(0)
        self._waiting: queue.SimpleQueue[tuple[Wave, threading.Event]] = queue.SimpleQueue()
        self._done: threading.Event | None = None
        self._stream = sounddevice.RawOutputStream(
            device=device,
            samplerate=EAR_RATE_HZ,
            channels=1,
            dtype="int16",
            latency=_PLAY_AHEAD_S,
            blocksize=round(_BLOCK_S * EAR_RATE_HZ),
            callback=self._give,
        )

    def _give(self, out: Any, frames: int, *_: object) -> None:  # noqa: ANN401 - a C buffer
        places = np.arange(self._at, self._at + frames) % len(self._noise)
        self._at += frames
        out[:] = to_clip(self._noise[places] + self._next(frames)).pcm

    def _next(self, frames: int) -> Wave:
        if not len(self._left):
            if self._done is not None:
                self._done.set()
                self._done = None
            if not self._waiting.empty():
                self._left, self._done = self._waiting.get()
        part, self._left = self._left[:frames], self._left[frames:]
        return np.pad(part, (0, frames - len(part)))

    def say(self, wave: Wave) -> None:
        """Play to the end; returns when the device has played it."""
        done = threading.Event()
        self._waiting.put((wave, done))
        done.wait(len(wave) / EAR_RATE_HZ + 30)
        time.sleep(self._stream.latency)

    def __enter__(self) -> Self:
        """Begin with the noise."""
        self._stream.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Fall silent."""
        self._stream.abort()
        self._stream.close()
