"""Made speech read again: utterances with their phones, some voices held out."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.bench.phones_fit.recipe import refuse_test_voice
from assistant.bench.phones_fit.spelling import columns_of
from assistant.errors import DataProblem


@dataclass(frozen=True, slots=True)
class Example:
    """What the encoder made of an utterance, and the columns of the phones that were said."""

    states: NDArray[np.float16]
    phones: Sequence[int]
    voice: str


def read_examples(folder: Path, is_of_test: Callable[[str], bool]) -> list[Example]:
    """Every utterance of a folder that is long enough for its phones.

    A text that is of the test part is left out: a folder may be older than the rule against it.

    Raises DataProblem for an empty folder, a damaged shard, or a voice of the test part.
    """
    shards = sorted(folder.glob("*.npz"))
    examples = [example for shard in shards for example in _read(shard, is_of_test)]
    if not examples:
        raise DataProblem(f"There is no speech in {folder}.", "Make some with the command make.")
    return examples


def _read(path: Path, is_of_test: Callable[[str], bool]) -> Iterator[Example]:
    try:
        with path.open("rb") as opened, np.load(opened, allow_pickle=False) as kept:
            states, lens, texts, voices = (kept[n] for n in ("states", "lens", "text", "voice"))
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile) as error:
        raise DataProblem(f"{path} cannot be read: {error}.", "Make it again.") from error
    pieces = np.split(states, np.cumsum(lens)[:-1])
    for piece, text, voice in zip(pieces, texts, voices, strict=True):
        engine, name, *_ = str(voice).split()
        refuse_test_voice(engine, name)
        phones = columns_of(str(text))
        if phones and fits(phones, len(piece)) and not is_of_test(str(text)):
            yield Example(piece, phones, str(voice))


def fits(phones: Sequence[int], frames: int) -> bool:
    """Whether the phones can stand in so many frames, with a blank between any two, and to spare.

    An example with an impossible text would have no finite loss.
    """
    return 2 * len(phones) + 2 < frames


def held_out(examples: Sequence[Example], without: str) -> tuple[list[Example], list[Example]]:
    """The examples to fit on and those of the voices that the pattern finds, none for ""."""
    pattern = re.compile(without or r"(?!)")
    kept: list[Example] = []
    out: list[Example] = []
    for example in examples:
        (out if pattern.search(example.voice) else kept).append(example)
    return kept, out
