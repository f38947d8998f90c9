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

from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.ears.expectations import NEARLY_ONE, Context, Expectations
from assistant.adapters.ears.moonshine_model import Floats, Sound, SpeechModel
from assistant.adapters.ears.moonshine_tokens import END, Alphabet
from assistant.adapters.ears.token_grammar import Onward, TokenGrammar


@dataclass(frozen=True, slots=True)
class Limits:
    """How far the search goes; every figure bounds the work on any input."""

    beam: int = 12
    """The hypotheses that are followed at once."""

    reach: float = 10.0
    """How far behind the best one, in natural log units, a hypothesis is still followed."""

    same_letters: int = 2
    """The hypotheses kept that differ only in capitals, punctuation and spaces."""

    share: float = 0.4
    """The part of the model's expectation that is taken out; fitted on development voices."""

    again: float = 2.0
    """What it costs to write two pieces side by side once more: texts can loop."""

    pieces_per_second: float = 5.5
    pieces_more: int = 4
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
    context: Context = ()
    row: int = 0


@dataclass(frozen=True, slots=True)
class _Rows:
    """For each hypothesis what the model says to every piece of the grammar.

    `heard` is with the sound, `weighed` with the expectation taken out; `likeliest` is the
    likeliest of all pieces for the free text, with its log-probability.
    """

    heard: Floats
    weighed: Floats
    likeliest: tuple[int, float]


@dataclass(frozen=True, slots=True)
class _Steps:
    """All steps from all hypotheses, side by side: score, whose it is, and which it is there."""

    scores: Floats
    owners: NDArray[np.int64]
    places: NDArray[np.int64]
    onward: list[Onward]


class Listener:
    """The model bound to a grammar, with what it expects in silence and the limits of a search."""

    def __init__(
        self,
        model: SpeechModel,
        grammar: TokenGrammar,
        silence: Sound,
        limits: Limits | None = None,
    ) -> None:
        self.model = model
        self.grammar = grammar
        self.limits = limits or Limits()
        self._silence = silence
        self._expectations = Expectations(model, silence, grammar.vocabulary)
        self._columns = np.array(grammar.vocabulary, np.int64)
        self._end = grammar.vocabulary.index(END)

    def within(self, grammar: TokenGrammar) -> Listener:
        """The same under a narrower grammar, which must have the vocabulary of this one.

        What the model expects in silence is remembered for both together.
        """
        narrower = copy(self)
        narrower.grammar = grammar
        return narrower

    def search(self, sound: Sound) -> Found:
        """What the sound says under the grammar, and without it."""
        self.grammar.forget_much()
        room = self.limits.room(sound.seconds)
        state = _Search(self)
        heard, memory = self.model.begin(sound)
        for left in reversed(range(room)):
            parents, pieces = state.advance(self._weighed(heard, state))
            if not left or not pieces:
                break
            heard, memory = self.model.step(sound, memory, parents, pieces)
        ranked = sorted(state.finished, key=lambda one: -one.score)
        return Found(tuple(ranked), self._free(state))

    def context(self, before: Context, piece: int) -> Context:
        """The context after one more piece."""
        return self._expectations.context(before, piece)

    def _weighed(self, full: Floats, state: _Search) -> _Rows:
        free = full[state.free_row]
        likeliest = int(free.argmax())
        heard: Floats = full[: len(state.active)][:, self._columns]
        weighed = heard.copy()
        if state.active:
            expected = self._expectations.rows([one.context for one in state.active])
            weighed -= np.float32(self.limits.share) * expected
        weighed[:, self._end] = heard[:, self._end]
        return _Rows(heard, weighed, (likeliest, float(free[likeliest])))

    def _free(self, state: _Search) -> Written:
        """The free text, with the whole of its expectation taken out in one go."""
        text = [piece for piece in state.free if piece != END]
        expected = 0.0
        if text:
            rows = self.model.along(self._silence, text)
            going_on = np.log1p(-np.minimum(np.exp(rows[:, END]), NEARLY_ONE))
            expected = float((rows[range(len(text)), text] - going_on).sum())
        score = state.free_score - self.limits.share * expected
        return Written(tuple(state.free), score, state.free_score, END in state.free)


@dataclass(slots=True)
class _Search:
    """One search: what is followed, what is finished, and the free text beside it."""

    listener: Listener
    active: list[_Open] = field(default_factory=lambda: [_Open()])
    finished: list[Written] = field(default_factory=list)
    free: list[int] = field(default_factory=list)
    free_score: float = 0.0
    free_row: int = 0

    def advance(self, rows: _Rows) -> tuple[list[int], list[int]]:
        """One more piece for every hypothesis; the rows to grow from and the pieces to add."""
        grown = list(self._kept(rows))
        parents = [one.row for one in grown]
        pieces = [one.pieces[-1] for one in grown]
        if END not in self.free:
            piece, log_probability = rows.likeliest
            self.free.append(piece)
            self.free_score += log_probability
            if piece != END:
                parents.append(self.free_row)
                pieces.append(piece)
                self.free_row = len(grown)
        if END in self.free:
            self.free_row = 0
        self.active = [replace(one, row=row) for row, one in enumerate(grown)]
        return parents, pieces

    def _kept(self, rows: _Rows) -> Iterator[_Open]:
        """The best steps, not too many of them alike."""
        if not self.active:
            return
        limits, seen = self.listener.limits, dict[str, int]()
        steps = self._steps(rows)
        for step in self._within_reach(steps):
            one = self.active[steps.owners[step]]
            onward, place = steps.onward[steps.owners[step]], steps.places[step]
            piece = onward.pieces[place]
            letters = one.letters + _letters(self.listener.model.alphabet, piece)
            seen[letters] = seen.get(letters, 0) + 1
            if seen[letters] <= limits.same_letters:
                yield _Open(
                    (*one.pieces, piece),
                    float(steps.scores[step]) - limits.again * _repeats(one.pieces, piece),
                    one.log_probability + float(rows.heard[one.row, onward.columns[place]]),
                    onward.positions[place],
                    letters,
                    self.listener.context(one.context, piece),
                    one.row,
                )
            if sum(min(count, limits.same_letters) for count in seen.values()) >= limits.beam:
                return

    def _steps(self, rows: _Rows) -> _Steps:
        """Every step there is; an END is put with the finished and can be no step any more."""
        grammar = self.listener.grammar
        onward = [grammar.onward(one.position) for one in self.active]
        scores = []
        for one, steps in zip(self.active, onward, strict=True):
            found = rows.weighed[one.row, steps.columns] - steps.costs + np.float32(one.score)
            if END in steps.pieces:
                at = steps.pieces.index(END)
                heard = float(rows.heard[one.row, steps.columns[at]])
                whole = float(found[at]), one.log_probability + heard
                self.finished.append(Written((*one.pieces, END), *whole))
                found[at] = -np.inf
            scores.append(found)
        counts = [len(steps.pieces) for steps in onward]
        return _Steps(
            np.concatenate(scores),
            np.repeat(np.arange(len(onward)), counts),
            np.concatenate([np.arange(count) for count in counts]),
            onward,
        )

    def _within_reach(self, steps: _Steps) -> list[int]:
        """The numbers of the best steps, the best first."""
        limits = self.listener.limits
        best = max((one.score for one in self.finished), default=float("-inf"))
        best = max(best, float(steps.scores.max(initial=-np.inf)))
        near = np.flatnonzero(steps.scores >= best - limits.reach)
        order = near[np.argsort(-steps.scores[near], kind="stable")]
        return [int(step) for step in order[: limits.beam * limits.same_letters]]


def _repeats(pieces: tuple[int, ...], piece: int) -> bool:
    """Whether the last piece and this one stood side by side before."""
    return pieces[-1:] != () and (pieces[-1], piece) in pairwise(pieces)


def _letters(alphabet: Alphabet, piece: int) -> str:
    return "".join(filter(str.isalnum, alphabet.piece(piece))).lower()
