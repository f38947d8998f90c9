"""The microphone and the speaker of the machine, by way of PortAudio."""

from __future__ import annotations

import logging
import queue
import threading
import time
from collections.abc import Generator, Iterator
from contextlib import contextmanager

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.adapters.portaudio import (
    Device,
    Line,
    Moment,
    Status,
    Stream,
    choose_line,
    find_device,
    list_devices,
    portaudio,
)
from assistant.adapters.resampling import samples_at
from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem

__all__ = ["Device", "SystemMicrophone", "SystemSpeaker", "list_devices"]

_BLOCKS_PER_SECOND = 50
_QUEUE_SECONDS = 10
_PATIENCE_S = 2.0
_ROOM_ECHO_S = 0.15
_GLANCE_S = 0.01
_LEAD_S = 0.1
"""Silence before each clip, since a sound server or an amplifier may miss its start.

30 ms were missed, as measured at the monitor of a null sink of PulseAudio 16.1.
"""

_log = logging.getLogger(__name__)


class SystemMicrophone:
    """A microphone by number, by part of its name, or the default; raises AudioProblem.

    The device is opened at a rate and with channels that it offers; what comes out is 16 kHz mono.
    Sound waits at most ten seconds to be read; what is lost beyond that is counted in `lost_s`.
    """

    def __init__(self, device: str | int | None = None) -> None:
        self._device = find_device(device, "input")
        self._blocks: queue.Queue[bytes] = queue.Queue(_QUEUE_SECONDS * _BLOCKS_PER_SECOND)
        self._skip_s = 0.0
        self._latency_s = 0.0
        self._overflows = 0
        self._overflows_told = 0

    @property
    def name(self) -> str:
        """The device, as the system names it."""
        return self._device.name

    @property
    def lost_s(self) -> float:
        """Seconds of sound lost because nobody read them in time, a block for each overflow."""
        return self._overflows / _BLOCKS_PER_SECOND

    def clips(self) -> Generator[Clip, None, None]:
        """Short clips at 16 kHz until closed; raises AudioProblem when the device falls silent."""
        line = choose_line(self._device, "input")
        resampler = soxr.ResampleStream(line.rate_hz, EAR_RATE_HZ, 1, dtype="int16")
        self._skip_s = 0.0
        _empty(self._blocks)
        with self._recording(line) as stream:
            while True:
                mono = mix_down(self._next_block(stream), line.channels)
                if self._skip_s > 0:
                    self._skip_s -= len(mono) / line.rate_hz
                    continue
                self._tell_losses()
                resampled = resampler.resample_chunk(mono)
                if len(resampled):
                    yield Clip(resampled.tobytes())

    def forget(self) -> None:
        """Drop what came in until now, with what the device still holds and the room's echo.

        Sound lost since the last clip was unwanted too, and is not counted.
        """
        _empty(self._blocks)
        self._overflows = self._overflows_told
        self._skip_s = self._latency_s + _ROOM_ECHO_S

    @contextmanager
    def _recording(self, line: Line) -> Iterator[Stream]:
        def take(block: memoryview, _frames: int, _time: Moment, status: Status) -> None:
            self._overflows += bool(status.input_overflow)
            try:
                self._blocks.put_nowait(bytes(block))
            except queue.Full:
                self._overflows += 1

        size = line.rate_hz // _BLOCKS_PER_SECOND
        with portaudio(f"record from {self._device}") as sounddevice:
            stream = sounddevice.RawInputStream(**line.settings, blocksize=size, callback=take)
        try:
            with portaudio(f"record from {self._device}"):
                stream.start()
            self._latency_s = stream.latency
            yield stream
        finally:
            _let_go(stream)

    def _next_block(self, stream: Stream) -> bytes:
        give_up = time.monotonic() + _PATIENCE_S
        while time.monotonic() < give_up:
            try:
                return self._blocks.get(timeout=0.1)
            except queue.Empty:
                if not stream.active:
                    break
        raise AudioProblem(
            f"the microphone {self._device} gives no more sound",
            "plug it in again, and start again",
        )

    def _tell_losses(self) -> None:
        if self._overflows > self._overflows_told:
            self._overflows_told = self._overflows
            _log.warning("the microphone lost sound, %.2f seconds so far", self.lost_s)


class SystemSpeaker:
    """A speaker by number, by part of its name, or the default; raises AudioProblem.

    The device is opened for each clip, at a rate and with channels that it offers.
    """

    def __init__(self, device: str | int | None = None) -> None:
        self._device = find_device(device, "output")
        self._stopping = threading.Event()

    @property
    def name(self) -> str:
        """The device, as the system names it."""
        return self._device.name

    def play(self, clip: Clip) -> None:
        """Play the clip and return when its last sample is out, or `stop` was called."""
        self._stopping.clear()
        if not clip.samples:
            return
        line = choose_line(self._device, "output")
        playback = _Playback(fit_to_line(clip, line), line)
        with portaudio(f"play on {self._device}") as sounddevice:
            stream = sounddevice.RawOutputStream(**line.settings, callback=playback.fill)
            try:
                stream.start()
                is_out = self._wait_until_out(stream, playback, clip.seconds)
            finally:
                _let_go(stream)
        if not is_out:
            raise AudioProblem(
                f"the speaker {self._device} stopped before the end",
                "plug it in again, and read the answer on the screen",
            )

    def _wait_until_out(self, stream: Stream, playback: _Playback, seconds: float) -> bool:
        give_up = time.monotonic() + 2 * seconds + _PATIENCE_S
        while time.monotonic() < give_up and stream.active:
            if playback.is_given and stream.time >= playback.out_at:
                return True
            if self._stopping.wait(_GLANCE_S):
                return True
        return False

    def stop(self) -> None:
        """Break off what is being played; from another thread."""
        self._stopping.set()


class _Playback:
    """Samples on their way out, and when by the stream's clock the last one will be out.

    After the last sample comes silence until the stream is closed: PortAudio 19.6 over ALSA was
    seen to throw away what is in its buffer when the callback ends the stream itself.
    """

    def __init__(self, pcm: bytes, line: Line) -> None:
        self._pcm = memoryview(pcm)
        self._sent = 0
        self._bytes_per_second = line.rate_hz * line.channels * BYTES_PER_SAMPLE
        self.out_at = 0.0

    @property
    def is_given(self) -> bool:
        return self._sent == len(self._pcm)

    def fill(self, block: memoryview, _frames: int, moment: Moment, _status: Status) -> None:
        piece = self._pcm[self._sent : self._sent + len(block)]
        block[:] = bytes(piece).ljust(len(block), b"\0")
        if len(piece):
            self.out_at = moment.outputBufferDacTime + len(piece) / self._bytes_per_second
            self._sent += len(piece)


def _let_go(stream: Stream) -> None:
    """Close a stream from a thread that nobody waits for long: a dead device may never answer."""
    closing = threading.Thread(target=stream.close, args=(True,), daemon=True)
    closing.start()
    closing.join(_PATIENCE_S)


def _empty(blocks: queue.Queue[bytes]) -> None:
    for _ in range(blocks.maxsize):
        try:
            blocks.get_nowait()
        except queue.Empty:
            return


def mix_down(block: bytes, channels: int) -> NDArray[np.int16]:
    """The mean of all channels of a block of interleaved samples."""
    samples: NDArray[np.int16] = np.frombuffer(block, dtype="<i2")
    if channels == 1:
        return samples
    mono: NDArray[np.int16] = samples.reshape(-1, channels).mean(axis=1).astype(np.int16)
    return mono


def fit_to_line(clip: Clip, line: Line) -> bytes:
    """The clip after a short silence, at the rate of the line and on each of its channels."""
    lead = np.zeros(int(_LEAD_S * line.rate_hz), dtype=np.int16)
    led = np.concatenate([lead, samples_at(clip, line.rate_hz)])
    return np.repeat(led, line.channels).tobytes()
