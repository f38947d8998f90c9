"""The speaker of the machine, by way of PortAudio: what is played can be added to, and cut."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np

from assistant.adapters.sound.portaudio import (
    Line,
    Moment,
    Status,
    Stream,
    choose_line,
    find_device,
    hold_on,
    let_go,
    portaudio,
)
from assistant.adapters.sound.resampling import samples_at
from assistant.audio import BYTES_PER_SAMPLE, Clip
from assistant.errors import AudioProblem

_PATIENCE_S = 2.0
_GLANCE_S = 0.01
_LEAD_S = 0.1
"""Silence before the first clip, since a sound server or an amplifier may miss its start.

30 ms were missed, as measured at the monitor of a null sink of PulseAudio 16.1.
"""


class SystemSpeaker:
    """A speaker by number, by part of its name, or the default; raises AudioProblem.

    The device is opened for each answer, at a rate and with channels that it offers.
    """

    def __init__(self, device: str | int | None = None) -> None:
        self._device = find_device(device, "output")
        self._stopping = threading.Event()

    @property
    def name(self) -> str:
        """The device, as the system names it."""
        return self._device.name

    @contextmanager
    def begin(self) -> Iterator[SystemPlayback]:
        """Open the device; at the end of the context what is not out yet is cut.

        Raises AudioProblem when it cannot be opened.
        """
        line = choose_line(self._device, "output")
        playback = SystemPlayback(line)
        with portaudio(f"play on {self._device}") as sounddevice:
            stream: Stream = sounddevice.RawOutputStream(**line.settings, callback=playback.fill)
        hold_on(stream)
        try:
            with portaudio(f"play on {self._device}"):
                stream.start()
            playback.runs_on(stream)
            yield playback
        finally:
            let_go(stream)

    def play(self, clip: Clip) -> None:
        """Play the clip and return when its last sample is out, or `stop` was called."""
        self._stopping.clear()
        if not clip.samples:
            return
        with self.begin() as playback:
            playback.add(clip)
            while not playback.is_out and not self._stopping.wait(_GLANCE_S):
                pass

    def stop(self) -> None:
        """Break off what `play` is playing; from another thread."""
        self._stopping.set()


class SystemPlayback:
    """Samples on their way out, and how many of them are out by the stream's clock.

    After the last sample comes silence until more is added or the stream is closed: PortAudio 19.6
    over ALSA was seen to throw away what is in its buffer when the callback ends the stream itself.
    """

    def __init__(self, line: Line) -> None:
        self._line = line
        self._pcm = bytearray(_silence(line))
        self._sent = 0
        self._sent_out_at = 0.0
        self._stream: Stream | None = None
        self._filled_at = time.monotonic()

    def runs_on(self, stream: Stream) -> None:
        """From now on the stream asks for samples."""
        self._stream = stream
        self._filled_at = time.monotonic()

    def add(self, clip: Clip) -> None:
        """Play it after what was added before."""
        self._pcm += fit_to_line(clip, self._line)

    @property
    def out_s(self) -> float:
        """How many seconds of what was added are out; raises AudioProblem when the device fails."""
        stream = self._running()
        underway = max(0.0, self._sent_out_at - stream.time) if self._sent_out_at else 0.0
        return max(0.0, self._sent / self._bytes_per_second - underway - _LEAD_S)

    @property
    def is_out(self) -> bool:
        """Whether all that was added is out; raises AudioProblem when the device fails."""
        stream = self._running()
        return self._sent == len(self._pcm) and stream.time >= self._sent_out_at

    @property
    def _bytes_per_second(self) -> int:
        return self._line.rate_hz * self._line.channels * BYTES_PER_SAMPLE

    def _running(self) -> Stream:
        stalled = time.monotonic() - self._filled_at > _PATIENCE_S
        if self._stream is None or stalled or not self._stream.active:
            raise AudioProblem(
                f"The speaker {self._line.device} stopped before the end.",
                "Plug it in again, and read the answer on the screen.",
            )
        return self._stream

    def fill(self, block: memoryview, _frames: int, moment: Moment, _status: Status) -> None:
        """Give the stream its next block."""
        piece = self._pcm[self._sent : self._sent + len(block)]
        block[:] = bytes(piece).ljust(len(block), b"\0")
        self._filled_at = time.monotonic()
        if piece:
            self._sent_out_at = moment.outputBufferDacTime + len(piece) / self._bytes_per_second
            self._sent += len(piece)


def _silence(line: Line) -> bytes:
    return bytes(int(_LEAD_S * line.rate_hz) * line.channels * BYTES_PER_SAMPLE)


def fit_to_line(clip: Clip, line: Line) -> bytes:
    """The clip at the rate of the line and on each of its channels."""
    return np.repeat(samples_at(clip, line.rate_hz), line.channels).tobytes()
