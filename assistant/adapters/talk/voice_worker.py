"""The process in which espeak-ng speaks, for `assistant.adapters.talk.voice` and nobody else.

It stands alone (standard library, pyttsx3, espeakng-loader), reads one JSON request a line on
standard input, and answers each on standard output with one JSON line followed by the samples.

Every utterance is rendered in a fork of its own that has never spoken before, for these reasons,
all measured with pyttsx3 2.99 and espeak-ng 1.52:

- `runAndWait` does not wait.  Its end-of-loop command is carried out before the synthesis starts,
  so it returns after 10 ms; a longer text is not there yet, and the next call cancels it.  That is
  the well-known silent second utterance.  We wait for `finished-utterance` instead.
- The same end-of-loop command cancels what espeak-ng has still in hand, and so now and then the
  rate that was just set: about one answer in five hundred came at another speed.  We set voice and
  rate at the driver, and wait until espeak-ng is at rest before we run the loop.
- An exception in the synthesiser's callback is never told to the caller, who waits for ever.
- espeak-ng carries state from one utterance to the next: the same words rendered twice in one
  process differ by some samples.  In a fresh fork they are the same to the last bit.

A fork also gives memory and file descriptors back by dying.
"""

from __future__ import annotations

import contextlib
import ctypes
import difflib
import importlib
import json
import os
import signal
import sys
import tempfile
import threading
import time
import wave
from pathlib import Path
from typing import IO, Any

LOAD_REMEDY = (
    "Run: pip install --force-reinstall espeakng-loader pyttsx3, or on Debian and Ubuntu: "
    "apt install libespeak-ng1"
)


class CannotSpeak(Exception):
    """What the keeper is told: the problem and the remedy."""


def load_espeak() -> None:
    """Load espeak-ng and pyttsx3's binding to it; raises CannotSpeak.

    pyttsx3 asks the loader for `libespeak-ng.so.1`.  A library of that name which is in the process
    already is what it gets, so the one from the wheel comes first; the system's is second best.
    """
    with contextlib.suppress(ImportError, OSError, RuntimeError, AttributeError):
        _load_from_wheel()
    try:
        importlib.import_module("pyttsx3.drivers._espeak")
    except (ImportError, OSError, RuntimeError, AttributeError) as error:
        raise CannotSpeak(f"espeak-ng cannot be loaded ({error}).", LOAD_REMEDY) from error


def _load_from_wheel() -> None:
    import espeakng_loader

    path = Path(espeakng_loader.get_library_path())
    data = espeakng_loader.get_data_path()
    named = path.with_name(path.name + ".1")
    ctypes.CDLL(str(named if named.exists() else path))
    os.environ["ESPEAK_DATA_PATH"] = data


def speak(words: str, rate_wpm: int, voice: str | None, path: str) -> str:
    """Render the words into a WAV file at `path` and return the name of the voice.

    Once in the life of a process.  Raises CannotSpeak.
    """
    import pyttsx3

    engine = pyttsx3.init("espeak")
    finished = threading.Event()
    engine.connect("finished-utterance", lambda **_: finished.set())
    variant = _set_up(engine.getProperty("voices"), rate_wpm, voice)
    engine.save_to_file(words, path)
    engine.runAndWait()
    finished.wait()  # the alarm in `render` is the limit
    return _describe() + variant


def _set_up(voices: list[Any], rate_wpm: int, voice: str | None) -> str:
    """Set voice and rate at the driver, each when espeak-ng is at rest; returns the variant."""
    from pyttsx3.drivers.espeak import EspeakDriver

    variant = ""
    _rest()
    if voice is not None:
        identifier, variant = _identify(voices, voice)
        EspeakDriver.setProperty("voice", identifier + variant)
    EspeakDriver.setProperty("rate", rate_wpm)
    _rest()
    return variant


def _rest() -> None:
    """Wait until espeak-ng's own thread has carried out its commands."""
    from pyttsx3.drivers import _espeak

    while _espeak.IsPlaying():
        time.sleep(0.0005)


def _identify(voices: list[Any], wanted: str) -> tuple[str, str]:
    """The identifier of a voice asked for by identifier, file, name or language; "+" and variant.

    espeak-ng itself would not find "en-gb", and would pass over an unknown variant in silence.
    """
    base, plus, variant = wanted.strip().lower().partition("+")
    for voice in voices:
        names = {voice.id, voice.id.rpartition("/")[2], voice.name.lower(), *voice.languages}
        if base in names:
            return str(voice.id), plus + _find_variant(variant) if plus else ""
    known = sorted({voice.id.rpartition("/")[2] for voice in voices})
    near = difflib.get_close_matches(base, known, n=3, cutoff=0.4) or ["en-us", "en-gb-x-rp"]
    raise CannotSpeak(f'espeak-ng has no voice "{wanted}".', f"Try {', '.join(near)}.")


def _find_variant(wanted: str) -> str:
    _, data = _ask_espeak()
    folder = Path(data) / "voices" / "!v"
    variants = {file.name.lower(): file.name for file in folder.iterdir()}
    if wanted in variants:
        return variants[wanted]
    near = difflib.get_close_matches(wanted, variants, n=3, cutoff=0.3) or ["f3", "m3"]
    raise CannotSpeak(f'espeak-ng has no variant "+{wanted}".', f"Try +{', +'.join(near)}.")


def _ask_espeak() -> tuple[str, str]:
    """The version of espeak-ng and the folder of its data."""
    from pyttsx3.drivers import _espeak

    data = ctypes.c_char_p()
    info = _espeak.dll.espeak_Info
    info.restype = ctypes.c_char_p
    version: bytes = info(ctypes.byref(data))
    return version.decode(), (data.value or b"").decode()


def _describe() -> str:
    from pyttsx3.drivers import _espeak

    version, _ = _ask_espeak()
    return f"espeak-ng {version}, {_espeak.GetCurrentVoice().contents.name.decode()}"


def _open_scratch() -> IO[bytes]:
    """A file without a name: nothing to clean up, and on Linux not on a disk that may be full."""
    if hasattr(os, "memfd_create"):
        return os.fdopen(os.memfd_create("dosewren"), "w+b")
    return tempfile.TemporaryFile()


def render(request: dict[str, Any], trouble: CannotSpeak | None) -> tuple[dict[str, Any], bytes]:
    """Answer one request from a fork of this process: what is to be said of it, and the samples."""
    with _open_scratch() as notes, _open_scratch() as sound:
        child = os.fork()
        if child == 0:
            signal.alarm(request["limit_s"])  # should the parent be gone, nobody else ends a hang
            _answer_and_die(request, trouble, notes, sound)
        _, status = os.waitpid(child, 0)
        if status != 0:
            return {"crashed": True}, b""
        notes.seek(0)
        answer: dict[str, Any] = json.load(notes)
        if "problem" in answer:
            return answer, b""
        sound.seek(0)
        with wave.open(sound, "rb") as spoken:
            return {**answer, "rate_hz": spoken.getframerate()}, spoken.readframes(-1)


def _answer_and_die(
    request: dict[str, Any], trouble: CannotSpeak | None, notes: IO[bytes], sound: IO[bytes]
) -> None:
    status = 1
    try:
        try:
            if trouble is not None:
                raise trouble
            path = f"/dev/fd/{sound.fileno()}"
            name = speak(request["words"], request["rate_wpm"], request["voice"], path)
            answer = {"name": name}
        except CannotSpeak as trouble_met:
            answer = dict(zip(("problem", "remedy"), trouble_met.args, strict=True))
        notes.write(json.dumps(answer).encode())
        notes.flush()
        status = 0
    finally:
        os._exit(status)  # the fork must never return into the loop of its parent


def main() -> None:
    """Answer requests until standard input ends, which it does when the assistant ends."""
    replies = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # pyttsx3 prints
    trouble = None
    try:
        load_espeak()
    except CannotSpeak as met:
        trouble = met
    for line in sys.stdin.buffer:
        answer, samples = render(json.loads(line), trouble)
        header = json.dumps({**answer, "bytes": len(samples)}).encode()
        replies.write(header + b"\n" + samples)
        replies.flush()


if __name__ == "__main__":
    main()
