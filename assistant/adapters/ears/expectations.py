"""What the model expects to read next when it hears nothing: its own language, to be taken out.

It is asked with a moment of silence in place of the sound, and remembered by context.  A context
reaches back to the beginning of the last word only, after a hyphen or punctuation to that sign,
and of a figure to its last two digits: measured as good as the whole text before, and there are so
few contexts that after some utterances hardly any is new.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.ears.moonshine_model import Floats, Sound, SpeechModel
from assistant.adapters.ears.moonshine_tokens import END, SPACE

Context = tuple[int, ...]

MOST_KNOWN = 3_000
"""Beyond so many contexts all are forgotten, which bounds the memory: 16 MiB at 1,310 pieces."""

_MOST_AT_ONCE = 16
_FIGURE_TAIL = 2
_SIGNS = (",", ".", "?", "!", "...", "-")

NEARLY_ONE = 0.9999
"""The most that the end of the text may be expected to be the case."""


class Expectations:
    """Log-probabilities of the pieces in `columns`, in silence, given that the text goes on."""

    def __init__(self, model: SpeechModel, silence: Sound, columns: Sequence[int]) -> None:
        self._model = model
        self._silence = silence
        self._columns: NDArray[np.int64] = np.array(columns, np.int64)
        self._known: dict[Context, Floats] = {}
        alphabet = model.alphabet
        self._starts = frozenset(
            number for number in range(len(alphabet)) if alphabet.piece(number)[:1] == SPACE
        )
        self._signs = frozenset(alphabet.cut(sign, joined=True)[0] for sign in _SIGNS)
        self._space = alphabet.cut("")[0]

    def context(self, before: Context, piece: int) -> Context:
        """The context after one more piece."""
        if piece in self._starts or piece in self._signs:
            return (piece,)
        if before[:1] == (self._space,):
            return (self._space, *before[1:], piece)[-_FIGURE_TAIL:]
        return (*before, piece)

    def rows(self, contexts: Sequence[Context]) -> Floats:
        """One row for each context."""
        missing = [one for one in dict.fromkeys(contexts) if one not in self._known]
        if len(self._known) + len(missing) > MOST_KNOWN:
            self._known.clear()
            missing = list(dict.fromkeys(contexts))
        for some in _of_one_length(missing):
            for context, row in zip(some, self._asked(some), strict=True):
                self._known[context] = row
        return np.stack([self._known[one] for one in contexts])

    def _asked(self, contexts: Sequence[Context]) -> Floats:
        """Silence says END at every place, which says nothing about the pieces of a text."""
        rows = self._model.after(self._silence, contexts)
        going_on = np.log1p(-np.minimum(np.exp(rows[:, END]), NEARLY_ONE))
        asked: Floats = rows[:, self._columns] - going_on[:, None]
        return asked


def _of_one_length(contexts: Sequence[Context]) -> Iterator[list[Context]]:
    by_length: dict[int, list[Context]] = {}
    for one in contexts:
        by_length.setdefault(len(one), []).append(one)
    for alike in by_length.values():
        for at in range(0, len(alike), _MOST_AT_ONCE):
            yield alike[at : at + _MOST_AT_ONCE]
