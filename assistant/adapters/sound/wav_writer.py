"""Writing a clip as a WAV file."""

from __future__ import annotations

import contextlib
import errno
import wave
from pathlib import Path

from assistant.audio import BYTES_PER_SAMPLE, Clip
from assistant.errors import AudioProblem


def write_wav(clip: Clip, path: Path) -> None:
    """Write the clip as 16-bit mono PCM, over any file of that name; raises AudioProblem.

    What could not be written whole is not left behind.
    """
    unfinished = path.with_name(path.name + ".part")
    try:
        if path.exists() and not path.is_file():
            raise IsADirectoryError(errno.EISDIR, "it is not a file")
        _write(clip, unfinished)
        unfinished.replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):  # the folder is gone or closed to us: reported below
            unfinished.unlink(missing_ok=True)
        raise AudioProblem(
            f"{path} cannot be written: {error.strerror or error}.",
            "Choose a folder that is there, may be written to and has room.",
        ) from error


def _write(clip: Clip, path: Path) -> None:
    with path.open("wb") as file, wave.open(file, "wb") as recording:
        recording.setnchannels(1)
        recording.setsampwidth(BYTES_PER_SAMPLE)
        recording.setframerate(clip.rate_hz)
        recording.writeframes(clip.pcm)
