"""Recordings of any rate, width and number of channels, as one clip that an ear can take."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.audio import EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem, EngineUnavailable

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]

LONGEST_S = 30
"""The longest recording taken; one phrase and the silence around it last a few seconds."""

SHORTEST_S = 0.1
"""A recording shorter than this holds no word."""

_RATES_HZ = range(4_000, 384_001)
_MOST_BYTES = 128 * 2**20
_UNKNOWN_LENGTH = 0x7FFF_0000
"""A WAV written to a pipe states a length of about 2**31 or 2**32, since it is not yet known."""

_CUT_SHORT = re.compile(r"^data : (\d+) \(should be \d+\)", re.MULTILINE)
_RECORD_AGAIN = "Record it again as a WAV file and pass that."


def read_recording(path: Path) -> Clip:
    """The recording at 16 kHz, 16 bit, one channel: the loudest, since a sum can cancel.

    Reads what libsndfile reads (WAV, FLAC, AIFF, OGG …), up to `LONGEST_S` seconds.  Raises
    AudioProblem when the file is missing, is no recording, is empty, cut short, too long, or holds
    samples that are no numbers.
    """
    try:
        import soundfile
    except (ImportError, OSError) as error:
        raise EngineUnavailable(
            f"Recordings cannot be read: {error}.", "Install the Python package soundfile again."
        ) from error
    content = _content(path)
    try:
        with soundfile.SoundFile(io.BytesIO(content)) as file:
            samples, rate_hz = _samples(file, path), int(file.samplerate)
    except soundfile.SoundFileError as error:
        raise AudioProblem(f"{path} is not a recording that can be read.", _RECORD_AGAIN) from error
    return _clip(_checked(samples, path), rate_hz)


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(_MOST_BYTES + 1)
    except FileNotFoundError as error:
        raise AudioProblem(f"There is no recording {path}.", "Check the name.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise AudioProblem(f"{path} cannot be read: {reason}.", "Check the file.") from error
    if not content:
        raise AudioProblem(f"{path} is empty.", _RECORD_AGAIN)
    if len(content) > _MOST_BYTES:
        raise _too_long(path)
    return content


def _samples(file: Any, path: Path) -> Samples:  # noqa: ANN401 - soundfile ships no types
    rate_hz = int(file.samplerate)
    if rate_hz not in _RATES_HZ:
        raise AudioProblem(
            f"{path} has {rate_hz} samples a second.", "Record with 8000 to 96000, best 16000."
        )
    stated = _CUT_SHORT.search(file.extra_info)
    if stated and int(stated[1]) < _UNKNOWN_LENGTH:
        raise AudioProblem(
            f"{path} is cut short: it says that it holds more than it does.", _RECORD_AGAIN
        )
    samples: Samples = file.read(LONGEST_S * rate_hz + 1, dtype="float32", always_2d=True)
    if len(samples) > LONGEST_S * rate_hz:
        raise _too_long(path)
    if len(samples) < SHORTEST_S * rate_hz:
        raise AudioProblem(f"{path} holds no sound.", _RECORD_AGAIN)
    return samples


def _checked(samples: Samples, path: Path) -> Samples:
    import numpy as np

    if not np.isfinite(samples).all():
        raise AudioProblem(f"{path} holds samples that are not numbers.", _RECORD_AGAIN)
    loudest = samples[:, int(np.argmax(np.abs(samples).max(axis=0)))]
    peak = float(np.abs(loudest).max())
    # a floating-point file may go past full scale: turned down whole, its shape stays
    return loudest / np.float32(peak) if peak > 1 else loudest


def _clip(samples: Samples, rate_hz: int) -> Clip:
    import numpy as np
    import soxr

    if rate_hz != EAR_RATE_HZ:
        samples = soxr.resample(samples, rate_hz, EAR_RATE_HZ)
    full = np.clip(np.round(samples * 32768.0), -32768, 32767)
    return Clip(full.astype("<i2").tobytes())


def _too_long(path: Path) -> AudioProblem:
    return AudioProblem(
        f"{path} lasts longer than {LONGEST_S} seconds.", "Pass one phrase for each recording."
    )
