"""People and birds recorded in packages: read where they are installed, never copied.

- asterisk-core-sounds-en-g722 (Debian; CC BY-SA 3.0, Allison Smith): numbers and prompts, 16 kHz
- pocketsphinx-testdata (Debian; BSD): read sentences, playing cards, numbers, several speakers
- tuxpaint-stamps-default (Debian; GPL 2): calls of birds, and names of animals said by a person
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, lru_cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import soundfile

from assistant.bench.acoustic.sound import Wave, resampled, speech_level, trimmed
from assistant.errors import EngineUnavailable
from assistant.language.numerals import DIGITS, TEENS, TENS

PROMPTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
READERS = Path("/usr/share/pocketsphinx/test/data")
STAMPS = Path("/usr/share/tuxpaint/stamps")

REMEDY = (
    "apt-get install asterisk-core-sounds-en-g722 pocketsphinx-testdata tuxpaint-stamps-default; "
    "pip install 'dosewren[bench]'"
)

_BELOW_TWENTY = ("zero", *DIGITS, *TEENS)

NUMBER_WORDS = {
    **{word: f"digits/{figure}" for figure, word in enumerate(_BELOW_TWENTY)},
    **{word: f"digits/{figure}0" for figure, word in enumerate(TENS, start=2)},
    "hundred": "digits/hundred",
    "thousand": "digits/thousand",
    "oh": "digits/oh",
    "and": "vm-and",
    "a": "letters/a",
    "is": "is",
    "for": "for",
    "with": "with",
    "no": "vm-no",
    "sorry": "sorry",
    "repeat": "vm-repeat",
    "goodbye": "goodbye",
}
"""What the recorded speaker can say, word by word, and the recording of each."""

GAP_S = 0.04
"""The silence between two recorded words; keepers read numbers out as quickly."""


def numbers_here() -> bool:
    """Whether the recorded numbers and their decoder are installed."""
    return PROMPTS.is_dir() and find_spec("G722") is not None


def can_say(words: str) -> bool:
    """Whether every word is among the recorded ones."""
    return bool(words) and all(word in NUMBER_WORDS for word in words.split())


def said(words: str) -> Wave:
    """The words joined from recordings of one person; raises EngineUnavailable."""
    gap = np.zeros(int(GAP_S * 16_000))
    pieces = [piece for word in words.split() for piece in (_prompt(NUMBER_WORDS[word]), gap)]
    return np.concatenate(pieces[:-1])


@lru_cache(maxsize=64)
def _prompt(name: str) -> Wave:
    if not numbers_here():
        raise EngineUnavailable("The recorded numbers are not on this machine.", REMEDY)
    coded = (PROMPTS / f"{name}.g722").read_bytes()
    samples = import_module("G722").G722(16_000, 64_000).decode(coded)
    wave = trimmed(np.asarray(samples, dtype=np.float64) / 32768.0)
    return wave / max(speech_level(wave), 1e-6) * 0.1


@cache
def talk() -> tuple[Path, ...]:
    """Recordings of people who say anything but a dose, in a settled order."""
    prompts = [
        path
        for path in sorted(PROMPTS.glob("*.g722"))
        if not path.stem.startswith(("beep", "silence", "ascending", "descending"))
    ]
    read = [*sorted(READERS.glob("librivox/*.wav")), *sorted(READERS.glob("cards/*.wav"))]
    raw = [READERS / f"{name}.raw" for name in ("goforward", "numbers", "something")]
    raw = [path for path in raw if path.is_file()] + sorted(READERS.glob("tidigits/*.raw"))
    named = sorted(STAMPS.rglob("*_desc.ogg"))
    return (*(prompts if numbers_here() else ()), *read, *raw, *named)


@cache
def bird_calls() -> tuple[Path, ...]:
    """Recordings of birds, in a settled order."""
    found = sorted((STAMPS / "animals" / "birds").glob("*.ogg"))
    return tuple(path for path in found if "_desc" not in path.stem)


@lru_cache(maxsize=16)
def recording(path: Path) -> Wave:
    """A recording at the ears' rate, one channel."""
    if path.suffix == ".g722":
        return _prompt(str(path.relative_to(PROMPTS).with_suffix("")))
    if path.suffix == ".raw":
        samples = np.fromfile(path, dtype="<i2").astype(np.float64) / 32768.0
        return trimmed(samples)
    wave, rate_hz = soundfile.read(path, dtype="float64", always_2d=True)
    return trimmed(resampled(np.asarray(wave.mean(axis=1)), rate_hz))


def missing() -> Iterator[str]:
    """The packages of recordings that are not on this machine."""
    if not numbers_here():
        yield "asterisk-core-sounds-en-g722 with the module G722"
    if not READERS.is_dir():
        yield "pocketsphinx-testdata"
    if not STAMPS.is_dir():
        yield "tuxpaint-stamps-default"
