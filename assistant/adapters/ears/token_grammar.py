"""A grammar as a model's pieces of text: which piece may come next, and what was said in the end.

Every word of the grammar may be written in several forms, each cut into the model's pieces, with
punctuation after it and a hyphen or a space before the next.  Numbers may be written in figures.
A position is a set of spots, one for each way in which the pieces so far can be read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum, auto

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.ears.moonshine_tokens import END, Alphabet
from assistant.adapters.ears.word_graph import WordGraph
from assistant.language.rarity import RARITY
from assistant.language.writing import FIGURES, unwritten, written_forms

_DIGITS = "0123456789"
_NOT_ZERO = _DIGITS[1:]

_FIGURE_STEPS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "": ((_NOT_ZERO, "9"), ("0", "0"), (".", ".")),
    "0": ((".", "."),),
    "9": ((_DIGITS, "99"), (",", ","), (":", ":"), (".", ".")),
    "99": ((_DIGITS, "999"), (":", ":"), (".", ".")),
    "999": ((_DIGITS, "9999"), (".", ".")),
    ",": ((_DIGITS, ",9"),),
    ",9": ((_DIGITS, ",99"),),
    ",99": ((_DIGITS, ",999"),),
    ":": ((_NOT_ZERO, ":9"),),
    ":9": ((_DIGITS, ":99"),),
    ".": ((_NOT_ZERO, ".9"), ("0", ".0")),
    ".0": ((_NOT_ZERO, ".99"),),
    ".9": ((_NOT_ZERO, ".99"),),
}
_WHOLE_FIGURES = frozenset({"9", "99", "999", "9999", ",999", ":99", ".9", ".99"})
"""Figures in the shape of these: 1 to 9999, also 1,250 and, for "twelve fifty", 12:50; at most two
decimals, the last never 0, since "12.50" is more often twelve fifty than a decimal."""


_SIGNS: Mapping[str, float] = {",": 0.5, ".": 0.5, "?": 2.0, "!": 2.0, "...": 2.0}
"""Punctuation that may follow a word, with its rarity; set by hand, as in language/rarity.py."""

_HYPHEN = 1.5

MOST_POSITIONS = 12_000
"""Beyond so many positions all that was laid out is forgotten before the next search."""

_IN_FIGURES: Mapping[str, float] = {".": RARITY["point"], ":": 2.0}


class _Kind(Enum):
    START = auto()
    """Before a word, with no punctuation to come first."""
    BETWEEN = auto()
    """After a word: punctuation, a hyphen or the next word."""
    JOINED = auto()
    """After a hyphen: the next word without a space."""
    WORD = auto()
    """Inside a word that stands by itself."""
    JOINED_WORD = auto()
    """Inside a word after a hyphen."""
    FIGURE = auto()
    """Inside a number in figures; the state is the one after it."""
    DONE = auto()


@dataclass(frozen=True, slots=True)
class _Spot:
    kind: _Kind
    state: int = 0
    node: int = 0
    shape: str = ""


@dataclass(frozen=True, slots=True)
class _Arc:
    """A piece, the spot that it leads to, and what is known by then to have been said."""

    piece: int
    after: _Spot
    said: str = ""
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class Onward:
    """The steps from a position: pieces, the positions they lead to, and their least rarity.

    `columns` are the places of the pieces in the grammar's vocabulary.
    """

    pieces: tuple[int, ...]
    columns: NDArray[np.int64]
    positions: tuple[int, ...]
    costs: NDArray[np.float32]


@dataclass(slots=True)
class _Trie:
    """The forms of several words: for each node its pieces, and the words that end there."""

    onward: list[dict[int, int]] = field(default_factory=lambda: [{}])
    ends: list[list[tuple[str, float]]] = field(default_factory=lambda: [[]])

    def add(self, pieces: Iterable[int], word: str, cost: float) -> None:
        node = 0
        for piece in pieces:
            if piece not in self.onward[node]:
                self.onward[node][piece] = len(self.onward)
                self.onward.append({})
                self.ends.append([])
            node = self.onward[node][piece]
        self.ends[node].append((word, cost))


class TokenGrammar:
    """Positions are small numbers from `start` on; they stay valid until `forget_much`.

    `vocabulary` holds every piece that can ever come next; that of a wider grammar may be given,
    so that both have the same columns.
    """

    start = 0

    def __init__(
        self, words: WordGraph, alphabet: Alphabet, vocabulary: tuple[int, ...] = ()
    ) -> None:
        self._words = words
        self._alphabet = alphabet
        self._forms: dict[tuple[str, bool], Mapping[tuple[int, ...], float]] = {}
        self._first = _Spot(_Kind.START)
        self._lay_out()
        self._signs = {self._sign(text): cost for text, cost in _SIGNS.items()}
        self._figures = {sign: self._sign(sign) for sign in _DIGITS + ",.:"}
        self._space, self._dot = (alphabet.cut(text)[0] for text in ("", "."))
        self.vocabulary = vocabulary or self._all_pieces()
        self._columns = {piece: column for column, piece in enumerate(self.vocabulary)}

    def _lay_out(self) -> None:
        """Start with nothing but the first position."""
        self._tries: dict[tuple[int, bool], _Trie] = {}
        self._arcs_known: dict[_Spot, Mapping[int, tuple[_Arc, ...]]] = {}
        self._positions: dict[frozenset[_Spot], int] = {}
        self._spots: list[frozenset[_Spot]] = []
        self._onward_known: dict[int, Onward] = {}
        self._position(frozenset({self._first}))

    def forget_much(self) -> None:
        """Forget what was laid out where it is much, which bounds the memory; between searches."""
        if len(self._spots) > MOST_POSITIONS:
            self._lay_out()

    def onward(self, position: int) -> Onward:
        """The pieces that may come next, END among them, and where each leads."""
        if position not in self._onward_known:
            found: dict[int, set[_Spot]] = {}
            costs: dict[int, float] = {}
            for spot in self._spots[position]:
                for piece, arcs in self._arcs(spot).items():
                    found.setdefault(piece, set()).update(arc.after for arc in arcs)
                    cheapest = min(arc.cost for arc in arcs)
                    costs[piece] = min(cheapest, costs.get(piece, cheapest))
            self._onward_known[position] = Onward(
                tuple(found),
                np.array([self._columns[piece] for piece in found], np.int64),
                tuple(self._position(frozenset(spots)) for spots in found.values()),
                np.array(list(costs.values()), np.float32),
            )
        return self._onward_known[position]

    def said(self, pieces: Iterable[int]) -> tuple[str, ...]:
        """The grammar's words, and figures, that pieces up to END stand for; () if for none."""
        reached = {self._first: ""}
        for piece in pieces:
            onward: dict[_Spot, str] = {}
            for spot, said in reached.items():
                for arc in self._arcs(spot).get(piece, ()):
                    onward.setdefault(arc.after, said + arc.said)
            reached = onward
        words = reached.get(_Spot(_Kind.DONE), "").split()
        return tuple(unwritten(word) if word[0] in _DIGITS + "." else word for word in words)

    def _all_pieces(self) -> tuple[int, ...]:
        words = {word for steps in self._words.steps for word in steps} - {FIGURES}
        cuts = (self._cut(word, joined=joined) for word in words for joined in (False, True))
        pieces = {piece for forms in cuts for form in forms for piece in form}
        pieces |= {END, self._sign("-"), self._space, self._dot}
        return tuple(sorted(pieces | set(self._signs) | set(self._figures.values())))

    def _sign(self, text: str) -> int:
        return self._alphabet.cut(text, joined=True)[0]

    def _position(self, spots: frozenset[_Spot]) -> int:
        if spots not in self._positions:
            self._positions[spots] = len(self._spots)
            self._spots.append(spots)
        return self._positions[spots]

    def _arcs(self, spot: _Spot) -> Mapping[int, tuple[_Arc, ...]]:
        if spot not in self._arcs_known:
            drawn: dict[int, tuple[_Arc, ...]] = {}
            for arc in self._drawn(spot):
                drawn[arc.piece] = (*drawn.get(arc.piece, ()), arc)
            self._arcs_known[spot] = drawn
        return self._arcs_known[spot]

    def _drawn(self, spot: _Spot) -> Iterator[_Arc]:
        match spot.kind:
            case _Kind.START:
                yield from self._words_next(spot.state)
            case _Kind.BETWEEN:
                yield from self._words_next(spot.state)
                for sign, cost in self._signs.items():
                    yield _Arc(sign, _Spot(_Kind.START, spot.state), cost=cost)
                yield _Arc(self._sign("-"), _Spot(_Kind.JOINED, spot.state), cost=_HYPHEN)
            case _Kind.JOINED:
                yield from self._through_word(_Spot(_Kind.JOINED_WORD, spot.state))
            case _Kind.WORD | _Kind.JOINED_WORD:
                yield from self._through_word(spot)
            case _Kind.FIGURE:
                yield from self._through_figure(spot)

    def _words_next(self, state: int) -> Iterator[_Arc]:
        yield from self._through_word(_Spot(_Kind.WORD, state))
        steps = self._words.steps[state]
        if FIGURES in steps:
            after = steps[FIGURES]
            yield _Arc(self._space, _Spot(_Kind.FIGURE, after))
            dotted = _Spot(_Kind.FIGURE, after, shape=".")
            yield _Arc(self._dot, dotted, ".", RARITY["point"])
        if state in self._words.ends:
            yield _Arc(END, _Spot(_Kind.DONE))

    def _through_word(self, spot: _Spot) -> Iterator[_Arc]:
        trie = self._trie(spot.state, joined=spot.kind is _Kind.JOINED_WORD)
        steps = self._words.steps[spot.state]
        for piece, node in trie.onward[spot.node].items():
            if trie.onward[node]:
                yield _Arc(piece, _Spot(spot.kind, spot.state, node))
            for word, cost in trie.ends[node]:
                after = _Spot(_Kind.BETWEEN, steps[word])
                yield _Arc(piece, after, f" {word} ", cost + RARITY.get(word, 0.0))

    def _through_figure(self, spot: _Spot) -> Iterator[_Arc]:
        for signs, shape in _FIGURE_STEPS.get(spot.shape, ()):
            for sign in signs:
                piece, cost = self._figures[sign], _IN_FIGURES.get(sign, 0.0)
                inside = _Spot(_Kind.FIGURE, spot.state, shape=shape)
                yield _Arc(piece, inside, sign, cost)
                if shape in _WHOLE_FIGURES:
                    yield _Arc(piece, _Spot(_Kind.BETWEEN, spot.state), f"{sign} ", cost)

    def _trie(self, state: int, *, joined: bool) -> _Trie:
        if (state, joined) not in self._tries:
            trie = self._tries[state, joined] = _Trie()
            for word in self._words.steps[state]:
                if word != FIGURES:
                    for pieces, cost in self._cut(word, joined=joined).items():
                        trie.add(pieces, word, cost)
        return self._tries[state, joined]

    def _cut(self, word: str, *, joined: bool) -> Mapping[tuple[int, ...], float]:
        if (word, joined) not in self._forms:
            self._forms[word, joined] = {
                self._alphabet.cut(form, joined=joined): cost
                for form, cost in written_forms(word).items()
            }
        return self._forms[word, joined]
