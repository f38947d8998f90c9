"""The search for what was said: the model's own text, held to a grammar piece by piece.

A beam search over positions in the grammar (Graves 2012, arXiv 1211.3711, section 2.5, with the
grammar's pieces in place of all pieces).  The model's log-probability of a text holds what it
expects of texts in general: "1." for three seconds of speech beats "Cockatiel, 95 grams." because
the model has hardly ever read of cockatiels.  So every step is weighed as

    log P(piece | sound, text) - SHARE x log P(piece | silence, text) - rarity

which takes a part of that expectation out again and puts the grammar's own in its place (internal
language model estimation: Meng et al. 2021, IEEE SLT, arXiv 2011.01991, estimated as by
Variani et al. 2020, arXiv 2003.07705, from the decoder without its sound).

Beside it runs the same model without a grammar, always taking the likeliest piece, and is weighed
in the same way.  Its lead over the best text of the grammar is what tells chatter from a request.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from assistant.adapters.moonshine_model import Memory, Sound, SpeechModel
from assistant.adapters.moonshine_tokens import END, Alphabet
from assistant.adapters.token_grammar import TokenGrammar

if TYPE_CHECKING:
    from assistant.adapters.moonshine_model import Floats


@dataclass(frozen=True, slots=True)
class Limits:
    """How far the search goes; every figure bounds the work on any input."""

    beam: int = 16
    """The hypotheses that are followed at once."""

    reach: float = 10.0
    """How far behind the best one, in natural log units, a hypothesis is still followed."""

    same_letters: int = 2
    """The hypotheses kept that differ only in capitals, punctuation and spaces."""

    share: float = 0.6
    """The part of the model's expectation that is taken out; fitted on development voices."""

    pieces_per_second: float = 7.0
    pieces_more: int = 6
    pieces: int = 40
    """The longest text, in pieces, by the sound's length and at all: free decoding can loop."""

    def room(self, seconds: float) -> int:
        """The most pieces for a sound of this length."""
        return min(self.pieces, int(self.pieces_per_second * seconds) + self.pieces_more)


@dataclass(frozen=True, slots=True)
class Written:
    """A text in the model's pieces.

    `score` is the weighed one, `log_probability` the model's own; `ended` is false when cut off.
    """

    pieces: tuple[int, ...]
    score: float
    log_probability: float
    ended: bool = True


@dataclass(frozen=True, slots=True)
class Found:
    """The texts of the grammar, the likeliest first, and the likeliest text of all."""

    in_grammar: tuple[Written, ...]
    free: Written


@dataclass(frozen=True, slots=True)
class _Open:
    """A text that is not finished; `row` is its place in the decoder's memory."""

    pieces: tuple[int, ...] = ()
    score: float = 0.0
    log_probability: float = 0.0
    position: int = TokenGrammar.start
    letters: str = ""
    row: int = 0


@dataclass(frozen=True, slots=True)
class _Step:
    """One more piece for the hypothesis numbered `index`."""

    score: float
    log_probability: float
    index: int
    piece: int
    position: int


@dataclass(frozen=True, slots=True)
class _Rows:
    """For each hypothesis what the model says to every piece: with the sound, and weighed."""

    heard: Floats
    weighed: Floats


class Listener:
    """The model with what it expects in silence, and the limits of a search."""

    def __init__(self, model: SpeechModel, silence: Sound, limits: Limits | None = None) -> None:
        self.model = model
        self.limits = limits or Limits()
        self._silence = silence

    def search(self, grammar: TokenGrammar, sound: Sound) -> Found:
        """What the sound says under the grammar, and without it."""
        room = self.limits.room(sound.seconds)
        state = _Search(grammar, self.model.alphabet, self.limits)
        rows, memory = self._begin(sound)
        for left in reversed(range(room)):
            parents, pieces = state.advance(rows)
            if not left or not pieces:
                break
            rows, memory = self._step(sound, memory, (parents, pieces))
        ranked = sorted(state.finished, key=lambda one: -one.score)
        return Found(tuple(ranked), state.free)

    def _begin(self, sound: Sound) -> tuple[_Rows, tuple[Memory, Memory]]:
        heard, memory = self.model.begin(sound)
        expected, other = self.model.begin(self._silence)
        return self._weighed(heard, expected), (memory, other)

    def _step(
        self,
        sound: Sound,
        memories: tuple[Memory, Memory],
        grown: tuple[Sequence[int], Sequence[int]],
    ) -> tuple[_Rows, tuple[Memory, Memory]]:
        heard, memory = self.model.step(sound, memories[0], *grown)
        expected, other = self.model.step(self._silence, memories[1], *grown)
        return self._weighed(heard, expected), (memory, other)

    def _weighed(self, heard: Floats, expected: Floats) -> _Rows:
        """Silence says END at every place, which says nothing about the pieces of a text."""
        import numpy as np

        going_on = np.log1p(-np.minimum(np.exp(expected[:, END]), _NEARLY_ONE))
        weighed = heard - self.limits.share * (expected - going_on[:, None])
        weighed[:, END] = heard[:, END]
        return _Rows(heard, weighed)


_NEARLY_ONE = 0.9999


@dataclass(slots=True)
class _Search:
    """One search: what is followed, what is finished, and the free text beside it."""

    grammar: TokenGrammar
    alphabet: Alphabet
    limits: Limits
    active: list[_Open] = field(default_factory=lambda: [_Open()])
    finished: list[Written] = field(default_factory=list)
    free: Written = field(default_factory=lambda: Written((), 0.0, 0.0, ended=False))
    free_row: int = 0

    def advance(self, rows: _Rows) -> tuple[list[int], list[int]]:
        """One more piece for every hypothesis; the rows to grow from and the pieces to add."""
        grown = list(self._kept(self._within_reach(rows)))
        parents = [one.row for one in grown]
        pieces = [one.pieces[-1] for one in grown]
        if not self.free.ended:
            self._advance_free(rows)
            if not self.free.ended:
                parents.append(self.free_row)
                pieces.append(self.free.pieces[-1])
                self.free_row = len(grown)
        self.active = [replace(one, row=row) for row, one in enumerate(grown)]
        return parents, pieces

    def _advance_free(self, rows: _Rows) -> None:
        heard = rows.heard[self.free_row]
        piece = int(heard.argmax())
        self.free = Written(
            (*self.free.pieces, piece),
            self.free.score + float(rows.weighed[self.free_row][piece]),
            self.free.log_probability + float(heard[piece]),
            piece == END,
        )

    def _within_reach(self, rows: _Rows) -> list[_Step]:
        """The best steps, the best first; those that end a text are put with the finished."""
        steps = [step for index in range(len(self.active)) for step in self._steps(rows, index)]
        best = max((one.score for one in self.finished), default=float("-inf"))
        best = max(best, max((step.score for step in steps), default=best))
        near = [step for step in steps if step.score >= best - self.limits.reach]
        most = self.limits.beam * self.limits.same_letters
        return heapq.nlargest(most, near, key=lambda step: step.score)

    def _steps(self, rows: _Rows, index: int) -> Iterator[_Step]:
        one = self.active[index]
        onward = self.grammar.onward(one.position)
        weighed = rows.weighed[one.row][list(onward.pieces)].tolist()
        heard = rows.heard[one.row][list(onward.pieces)].tolist()
        for at, piece in enumerate(onward.pieces):
            score = one.score + weighed[at] - onward.costs[at]
            log_probability = one.log_probability + heard[at]
            if piece == END:
                self.finished.append(Written((*one.pieces, END), score, log_probability))
            else:
                yield _Step(score, log_probability, index, piece, onward.positions[at])

    def _kept(self, steps: Iterable[_Step]) -> Iterator[_Open]:
        seen: dict[str, int] = {}
        kept = 0
        for step in steps:
            one = self.active[step.index]
            letters = one.letters + _letters(self.alphabet.piece(step.piece))
            seen[letters] = seen.get(letters, 0) + 1
            if seen[letters] <= self.limits.same_letters and kept < self.limits.beam:
                kept += 1
                pieces = (*one.pieces, step.piece)
                scores = step.score, step.log_probability
                yield _Open(pieces, *scores, step.position, letters, one.row)


def _letters(piece: str) -> str:
    return "".join(filter(str.isalnum, piece)).lower()
