"""The one place that imports sounddevice and puts its troubles into the keeper's words."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Literal, Protocol

from assistant.errors import AudioProblem

Direction = Literal["input", "output"]

_ROLES: dict[Direction, str] = {"input": "microphone", "output": "speaker"}
_USUAL_RATES_HZ = (48_000, 44_100, 16_000)
LATENCY_S = 0.2
"""How much sound a stream may hold, in seconds: enough for a busy machine not to break it up."""

_CHECK = "see the devices with: dosewren check"


@dataclass(frozen=True, slots=True)
class Device:
    """A sound device as PortAudio numbers and names it, with the channels it has each way."""

    number: int
    name: str
    host: str
    inputs: int
    outputs: int
    rate_hz: int
    default_for: tuple[Direction, ...] = ()

    def channels(self, direction: Direction) -> int:
        """How many channels the device has that way; 0 means that it cannot be used so."""
        return self.inputs if direction == "input" else self.outputs

    def __str__(self) -> str:
        """The device as it is listed to a keeper."""
        return f'{self.number} "{self.name}" ({self.host})'


@dataclass(frozen=True, slots=True)
class Line:
    """A device with a rate and a number of channels that it accepts, for 16-bit samples."""

    device: Device
    direction: Direction
    rate_hz: int
    channels: int

    @property
    def settings(self) -> dict[str, Any]:
        """The line as arguments of a sounddevice stream."""
        return {
            "device": self.device.number,
            "samplerate": self.rate_hz,
            "channels": self.channels,
            "dtype": "int16",
            "latency": LATENCY_S,
        }


class Stream(Protocol):
    """What we use of a stream of sounddevice."""

    @property
    def active(self) -> bool:
        """Whether it is running."""

    @property
    def time(self) -> float:
        """Its clock, in seconds."""

    @property
    def latency(self) -> float:
        """How much sound it holds, in seconds."""

    def start(self) -> None:
        """Begin."""

    def close(self, ignore_errors: bool) -> None:  # noqa: FBT001 - the signature of sounddevice
        """End at once."""


class Moment(Protocol):
    """The times that a callback is given, by the stream's clock in seconds."""

    @property
    def outputBufferDacTime(self) -> float:  # noqa: N802 - the name in sounddevice
        """When the first sample of the block will be out."""


class Status(Protocol):
    """What a callback is told of the stream's health."""

    @property
    def input_overflow(self) -> bool:
        """Whether sound was lost before this block."""


_PATIENCE_S = 2.0
_in_use: set[int] = set()
"""The streams that are open, or that a dead device does not let go of."""


def hold_on(stream: Stream) -> None:
    """Count a stream as open until it is let go of."""
    _in_use.add(id(stream))


def let_go(stream: Stream) -> None:
    """Close a stream from a thread that nobody waits for long: a dead device may never answer."""

    def close() -> None:
        stream.close(True)  # noqa: FBT003 - the signature of sounddevice
        _in_use.discard(id(stream))

    closing = threading.Thread(target=close, daemon=True)
    closing.start()
    closing.join(_PATIENCE_S)


def look_again() -> None:
    """Let PortAudio find what was plugged in since it began; it cannot while a stream is open."""
    if _in_use:
        return
    with portaudio("look for sound devices") as sounddevice:
        sounddevice._terminate()  # noqa: SLF001 - sounddevice has no other way
        sounddevice._initialize()  # noqa: SLF001 - the same


@contextmanager
def portaudio(task: str) -> Iterator[Any]:
    """Lend sounddevice for a task, named as in "cannot …"; every trouble is an AudioProblem."""
    sounddevice = _load()
    try:
        yield sounddevice
    except (sounddevice.PortAudioError, ValueError) as error:
        raise AudioProblem(f"Cannot {task}: {error}.", f"Check its plug, and {_CHECK}") from error


def _load() -> Any:  # noqa: ANN401 - sounddevice ships no types
    try:
        import sounddevice
    except ImportError as error:
        raise AudioProblem(
            f"sounddevice cannot be loaded: {error}.", "Run: pip install sounddevice"
        ) from error
    except OSError as error:
        raise AudioProblem(
            f"The sound library PortAudio cannot be loaded: {error}.",
            "On Debian and Ubuntu run: apt install libportaudio2",
        ) from error
    except Exception as error:
        # the class of PortAudio's own error comes from the module that has just failed to load
        raise AudioProblem(
            f"The sound system does not start: {error}.", f"Check its plug, and {_CHECK}"
        ) from error
    return sounddevice


def list_devices() -> tuple[Device, ...]:
    """Every sound device of the machine; raises AudioProblem when sound cannot be had at all."""
    with portaudio("list the sound devices") as sounddevice:
        hosts = [host["name"] for host in sounddevice.query_hostapis()]
        default_input, default_output = sounddevice.default.device
        return tuple(
            Device(
                number=found["index"],
                name=found["name"],
                host=hosts[found["hostapi"]],
                inputs=found["max_input_channels"],
                outputs=found["max_output_channels"],
                rate_hz=int(found["default_samplerate"]),
                default_for=_defaults(found["index"], default_input, default_output),
            )
            for found in sounddevice.query_devices()
        )


def _defaults(number: int, default_input: int, default_output: int) -> tuple[Direction, ...]:
    pairs: tuple[tuple[Direction, int], ...] = (
        ("input", default_input),
        ("output", default_output),
    )
    return tuple(direction for direction, default in pairs if number == default)


def find_device(wanted: str | int | None, direction: Direction) -> Device:
    """The device of that number, or with that in its name; the default if None is wanted.

    Raises AudioProblem, which lists the candidates where there is more than one.
    """
    role = _ROLES[direction]
    usable = [device for device in list_devices() if device.channels(direction) > 0]
    if wanted is None:
        found = [device for device in usable if direction in device.default_for]
        return _only(found, f"There is no default {role}.", usable)
    text = str(wanted).strip()
    if text.isdecimal():
        found = [device for device in usable if device.number == int(text)]
        return _only(found, f"There is no {role} with number {text}.", usable)
    folded = text.casefold()
    exact = [device for device in usable if device.name.casefold() == folded]
    part = [device for device in usable if folded in device.name.casefold()]
    return _only(exact or part, f'There is no {role} named "{text}".', usable)


def _only(found: list[Device], none: str, usable: list[Device]) -> Device:
    if len(found) == 1:
        return found[0]
    listed = ", ".join(str(device) for device in found or usable)
    if found:
        raise AudioProblem(f"More than one device fits: {listed}.", "Name one by its number.")
    remedy = f"Choose from {listed}." if usable else "Plug one in, and start again."
    raise AudioProblem(none, remedy)


def choose_line(device: Device, direction: Direction) -> Line:
    """The first rate and number of channels that the device accepts, its own rate first.

    Raises AudioProblem when it accepts none.
    """
    most = device.channels(direction)
    rates = dict.fromkeys((device.rate_hz, *_USUAL_RATES_HZ))
    lines = [
        Line(device, direction, rate, channels)
        for rate in rates
        for channels in sorted({1, min(2, most), most})
    ]
    with portaudio(f"use {device}") as sounddevice:
        for line in lines[:-1]:
            if _accepts(sounddevice, line):
                return line
        _check(sounddevice, lines[-1])
        return lines[-1]


def _check(sounddevice: Any, line: Line) -> None:  # noqa: ANN401 - sounddevice ships no types
    check = (
        sounddevice.check_input_settings
        if line.direction == "input"
        else sounddevice.check_output_settings
    )
    check(**{key: value for key, value in line.settings.items() if key != "latency"})


def _accepts(sounddevice: Any, line: Line) -> bool:  # noqa: ANN401 - sounddevice ships no types
    try:
        _check(sounddevice, line)
    except sounddevice.PortAudioError:
        return False
    return True
