"""The microphone of the machine, by way of PortAudio; the speaker is in `loudspeaker`."""

from __future__ import annotations

import logging
import queue
import time
from collections.abc import Generator, Iterator
from contextlib import contextmanager

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.adapters.sound.loudspeaker import SystemSpeaker
from assistant.adapters.sound.portaudio import (
    Device,
    Line,
    Moment,
    Status,
    Stream,
    choose_line,
    find_device,
    hold_on,
    let_go,
    list_devices,
    look_again,
    portaudio,
)
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem

__all__ = ["Device", "SystemMicrophone", "SystemSpeaker", "list_devices"]

_BLOCKS_PER_SECOND = 50
_QUEUE_SECONDS = 10
_PATIENCE_S = 2.0
_ROOM_ECHO_S = 0.15

_log = logging.getLogger(__name__)


class SystemMicrophone:
    """A microphone by number, by part of its name, or the default; raises AudioProblem.

    The device is opened at a rate and with channels that it offers; what comes out is 16 kHz mono.
    Sound waits at most ten seconds to be read; what is lost beyond that is counted in `lost_s`.
    """

    def __init__(self, device: str | int | None = None) -> None:
        self._device = find_device(device, "input")
        # a number may belong to another device when one was plugged in
        self._wanted = None if device is None else self._device.name
        self._was_open = False
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
        if self._was_open:
            look_again()
            self._device = find_device(self._wanted, "input")
        self._was_open = True
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
        hold_on(stream)
        try:
            with portaudio(f"record from {self._device}"):
                stream.start()
            self._latency_s = stream.latency
            yield stream
        finally:
            let_go(stream)

    def _next_block(self, stream: Stream) -> bytes:
        give_up = time.monotonic() + _PATIENCE_S
        while time.monotonic() < give_up:
            try:
                return self._blocks.get(timeout=0.1)
            except queue.Empty:
                if not stream.active:
                    break
        raise AudioProblem(
            f"The microphone {self._device} gives no more sound.",
            "Plug it in again, and start again.",
        )

    def _tell_losses(self) -> None:
        if self._overflows > self._overflows_told:
            self._overflows_told = self._overflows
            _log.warning("the microphone lost sound, %.2f seconds so far", self.lost_s)


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
