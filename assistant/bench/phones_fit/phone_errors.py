"""Phone errors: what a table says at its likeliest, against what was said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import Levenshtein

from assistant.adapters.ears.phone_head import PhoneHead
from assistant.adapters.ears.phone_search import BLANK
from assistant.bench.phones_fit.shards import Example


def likeliest(table: NDArray[np.floating]) -> list[int]:
    """The columns of each frame's likeliest phone, each run once, without blanks."""
    return [int(column) for column, _ in groupby(np.argmax(table, axis=1)) if column != BLANK]


def phone_errors(head: PhoneHead, examples: Iterable[Example]) -> tuple[int, int]:
    """Phones to put in, take out or change, and all phones that were said."""
    wrong = said = 0
    for example in examples:
        table = head.table(example.states.astype(np.float32))
        wrong += Levenshtein.distance(likeliest(table), list(example.phones))
        said += len(example.phones)
    return wrong, said


@dataclass(frozen=True, slots=True)
class Row:
    """One voice, or all: its utterances, the errors in them, and the phones that were said."""

    voice: str
    utterances: int
    wrong: int
    said: int

    @property
    def rate(self) -> float:
        """Errors for each phone."""
        return self.wrong / self.said


def by_voice(head: PhoneHead, examples: Sequence[Example]) -> list[Row]:
    """A row for each engine and voice, the best first, and one for all as the last."""
    voices: dict[str, list[Example]] = {}
    for example in examples:
        engine, name, *_ = example.voice.split()
        voices.setdefault(f"{engine} {name}", []).append(example)
    rows = [Row(voice, len(own), *phone_errors(head, own)) for voice, own in voices.items()]
    wrong, said = sum(row.wrong for row in rows), sum(row.said for row in rows)
    return [*sorted(rows, key=lambda row: row.rate), Row("all", len(examples), wrong, said)]
