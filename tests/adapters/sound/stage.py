"""Scenes with a sound card, each a process: `python stage.py SCENE ARGUMENTS`, prints JSON."""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
import time
import wave
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict
from typing import Any

import sounddevice

from assistant.adapters.sound.devices import SystemMicrophone, SystemSpeaker, list_devices
from assistant.audio import Clip
from assistant.errors import AudioProblem

RATE_HZ = 44_100


def read(path: str) -> Clip:
    with wave.open(path) as recording:
        return Clip(recording.readframes(-1), recording.getframerate())


def write(path: str, clip: Clip) -> None:
    with wave.open(path, "wb") as recording:
        recording.setnchannels(1)
        recording.setsampwidth(2)
        recording.setframerate(clip.rate_hz)
        recording.writeframes(clip.pcm)


@contextmanager
def record(path: str) -> Iterator[None]:
    """Record what comes out of the speaker, with the ears of the audience.

    With a short latency: a null sink is rendered ahead by that much, and takes it back when a new
    stream begins, so that its monitor has missed that much of the beginning.
    """
    pieces: list[bytes] = []
    with sounddevice.RawInputStream(
        device="stage_ear",
        samplerate=RATE_HZ,
        channels=1,
        dtype="int16",
        latency=0.1,
        blocksize=RATE_HZ // 50,
        callback=lambda block, *_: pieces.append(bytes(block)),
    ):
        while len(pieces) < 10:
            time.sleep(0.01)
        yield
        time.sleep(0.5)
    write(path, Clip(b"".join(pieces), RATE_HZ))


def perform(path: str) -> None:
    """Play a recording at the microphone."""
    clip = read(path)
    with sounddevice.RawOutputStream(
        device="stage_mouth", samplerate=clip.rate_hz, channels=1, dtype="int16", latency=0.5
    ) as stream:
        stream.write(bytes(2 * clip.rate_hz // 5) + clip.pcm + bytes(2 * clip.rate_hz))


def devices() -> list[dict[str, Any]]:
    return [asdict(device) for device in list_devices()]


def find(kind: str, *wanted: str) -> dict[str, str]:
    made: Callable[..., Any] = {"microphone": SystemMicrophone, "speaker": SystemSpeaker}[kind]
    return {"name": made(*wanted).name}


def speak(device: str, spoken: str, heard: str) -> dict[str, float]:
    """Play one recording on the speaker, and record it; says when `play` came back."""
    speaker = SystemSpeaker(device)
    with record(heard):
        begun = time.monotonic()
        speaker.play(read(spoken))
        return {"took_s": time.monotonic() - begun}


def interrupt(spoken: str, heard: str) -> dict[str, float]:
    """Stop the speaker a second after it began."""
    speaker = SystemSpeaker("perch_speaker")
    with record(heard):
        threading.Timer(1, speaker.stop).start()
        speaker.play(read(spoken))
        return {}


def listen(performed: str, heard: str, seconds: str) -> dict[str, Any]:
    """Play a recording at the microphone while it listens."""
    microphone = SystemMicrophone("perch_microphone")
    pieces: list[Clip] = []
    with closing(microphone.clips()) as clips:
        pieces.append(next(clips))
        threading.Thread(target=perform, args=(performed,)).start()
        pieces += _take(clips, float(seconds))
    write(heard, Clip(b"".join(piece.pcm for piece in pieces)))
    return {"rates": sorted({piece.rate_hz for piece in pieces}), "lost_s": microphone.lost_s}


def neglect(seconds: str) -> dict[str, float]:
    """Leave the microphone unread for a while, then read on."""
    microphone = SystemMicrophone("perch_microphone")
    with closing(microphone.clips()) as clips:
        next(clips)
        time.sleep(float(seconds))
        next(clips)
    return {"lost_s": microphone.lost_s}


def forget(performed: str, heard: str, then: str) -> dict[str, float]:
    """Let a recording be played to its end while nobody reads, forget or not, and read on."""
    microphone = SystemMicrophone("perch_microphone")
    with closing(microphone.clips()) as clips:
        next(clips)
        perform(performed)
        if then == "forget":
            microphone.forget()
        pieces = list(_take(clips, 3))
    write(heard, Clip(b"".join(piece.pcm for piece in pieces)))
    return {"lost_s": microphone.lost_s}


def _take(clips: Iterator[Clip], seconds: float) -> Iterator[Clip]:
    while seconds > 0:
        clip = next(clips)
        seconds -= clip.seconds
        yield clip


def unplug(kind: str, spoken: str) -> dict[str, Any]:
    """Kill the sound server in the middle."""
    kill = threading.Timer(1, os.kill, (int(os.environ["SOUND_SERVER"]), signal.SIGKILL))
    if kind == "speaker":
        speaker = SystemSpeaker("perch_speaker")
        kill.start()
        speaker.play(read(spoken))
        return {}
    with closing(SystemMicrophone("perch_microphone").clips()) as clips:
        next(clips)
        kill.start()
        return {"clips": sum(1 for _ in clips)}


SCENES = (devices, find, speak, interrupt, listen, neglect, forget, unplug)


def main(scene: str, *arguments: str) -> None:
    act: Callable[..., Any] = {known.__name__: known for known in SCENES}[scene]
    try:
        result = act(*arguments)
    except AudioProblem as error:
        result = {"problem": error.problem, "remedy": error.remedy}
    sys.stdout.write(json.dumps(result) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
