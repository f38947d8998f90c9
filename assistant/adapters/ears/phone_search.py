"""The search for what was said among phones: a beam over a grammar whose words are spelt in phones.

What comes in is a table: for every frame of the sound the log-probability of each phone and of
"no new phone" (the blank).  A text's score is that of its best path through the table by the rules
of connectionist temporal classification (Graves et al. 2006, ICML): a phone may last for several
frames, blanks may stand between phones, and two equal phones in a row need one.  Paths are
followed frame by frame, only through words that the grammar allows there (token passing: Young,
Russell and Thornton 1989, Cambridge CUED/F-INFENG/TR.38), each with the words that led to it, so
that the end of the sound gives the best texts and not only the best one.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.ears.word_graph import WordGraph
from assistant.language.rarity import RARITY

Floats: TypeAlias = NDArray[np.float32]

BLANK = 0
"""The column of the blank in the table."""

_NEVER = -1e30

MOST_PLACES = 60_000
"""Beyond so many places all are forgotten before the next search, which bounds the memory."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the search goes; every figure bounds the work on any input."""

    behind: float = 14.0
    """How far behind the best path, in natural log units, another is still followed.  With 9, 200
    and 7 for these three, 41 of 67 doubtful requests of development voices that were new to it came
    out with no reading; with 14, 250 and 12 only 3, and no talk of 97 sentences within reach."""

    paths: int = 250
    """The paths that are followed at once."""

    phones_behind: float = 12.0
    """How far behind the likeliest phone of a frame another is still taken there."""

    texts: int = 10
    """The texts that are returned."""

    rarity: float = 0.5
    """The weight of what seldom said words cost (language/rarity.py); fitted on development
    voices."""


WIDE = Reach(behind=60.0, paths=4000, phones_behind=40.0, texts=64)
"""For a handful of texts that are all to get their score."""


@dataclass(frozen=True, slots=True)
class Spelt:
    """A text of the grammar with the score of its best path, in natural log units."""

    words: tuple[str, ...]
    score: float


@dataclass(slots=True, eq=False)
class _Place:
    """A phone inside the words that may come next, and what may come after it."""

    phone: int
    onward: dict[int, _Place] = field(default_factory=dict)
    ends: list[tuple[str, int]] = field(default_factory=list)


_Path: TypeAlias = tuple[_Place, bool, int]
"""Where a path stands, whether in the blank after that phone, and the number of its history."""


class PhoneSearch:
    """A grammar with its words spelt in phones, each phone by its column in the table.

    A word without a spelling is not heard.  The places are laid out when a search first comes to
    them, and kept.
    """

    def __init__(
        self,
        graph: WordGraph,
        spellings: Mapping[str, Sequence[Sequence[int]]],
        reach: Reach | None = None,
    ) -> None:
        self.graph = graph
        self._spellings = spellings
        self._reach = reach or Reach()
        self._starts: dict[int, _Place] = {}
        self._laid = 0

    def search(self, table: Floats) -> tuple[Spelt, ...]:
        """The best texts for a table of frames × phones, the best first; () where none fits."""
        if self._laid > MOST_PLACES:
            self._starts, self._laid = {}, 0
        histories = _Histories()
        paths: dict[_Path, float] = {(self._start(0), True, histories.none): 0.0}
        for row in table:
            paths = self._within_reach(self._after(row, paths, histories))
        found: dict[int, float] = {}
        for (place, _, history), score in paths.items():
            for word, state in place.ends:
                if state in self.graph.ends:
                    whole = histories.longer(history, word)
                    # a sentence of one word is never rare (language/rarity.py)
                    alone = history == histories.none
                    cost = 0.0 if alone else self._reach.rarity * RARITY.get(word, 0.0)
                    found[whole] = max(found.get(whole, _NEVER), score - cost)
        best = heapq.nlargest(self._reach.texts, found.items(), key=lambda one: one[1])
        return tuple(Spelt(histories.words(number), score) for number, score in best)

    def _after(
        self, row: Floats, paths: Mapping[_Path, float], histories: _Histories
    ) -> dict[_Path, float]:
        """Every path after one more frame, the better one where two meet."""
        found: dict[_Path, float] = {}
        least = float(row.max()) - self._reach.phones_behind
        phones = [(int(one), float(row[one])) for one in np.flatnonzero(row > least) if one]
        blank = float(row[BLANK])
        for (place, rests, history), score in paths.items():
            if blank > least:
                _take(found, (place, True, history), score + blank)
            for phone, heard in phones:
                if phone == place.phone and not rests:
                    _take(found, (place, False, history), score + heard)
                    continue
                if phone in place.onward:
                    _take(found, (place.onward[phone], False, history), score + heard)
                for next_place, word in self._words_after(place, phone):
                    cost = self._reach.rarity * RARITY.get(word, 0.0)
                    longer = histories.longer(history, word)
                    _take(found, (next_place, False, longer), score + heard - cost)
        return found

    def _words_after(self, place: _Place, phone: int) -> Iterator[tuple[_Place, str]]:
        """The first places, with this phone, of the words after a word that ends here."""
        for word, state in place.ends:
            first = self._start(state).onward.get(phone)
            if first is not None:
                yield first, word

    def _within_reach(self, paths: dict[_Path, float]) -> dict[_Path, float]:
        least = max(paths.values(), default=0.0) - self._reach.behind
        kept = {path: score for path, score in paths.items() if score >= least}
        if len(kept) <= self._reach.paths:
            return kept
        return dict(heapq.nlargest(self._reach.paths, kept.items(), key=lambda one: one[1]))

    def _start(self, state: int) -> _Place:
        """The place before the words that may come in a state of the grammar."""
        if state not in self._starts:
            self._starts[state] = start = _Place(BLANK)
            for word, after in self.graph.steps[state].items():
                for spelling in filter(None, self._spellings.get(word, ())):
                    self._lay(start, spelling).ends.append((word, after))
        return self._starts[state]

    def _lay(self, start: _Place, spelling: Sequence[int]) -> _Place:
        place = start
        for phone in spelling:
            if phone not in place.onward:
                place.onward[phone] = _Place(phone)
                self._laid += 1
            place = place.onward[phone]
        return place


def _take(found: dict[_Path, float], path: _Path, score: float) -> None:
    if score > found.get(path, _NEVER):
        found[path] = score


class _Histories:
    """The words of paths, each row of words once, by a number."""

    none = 0

    def __init__(self) -> None:
        self._rows: list[tuple[int, str]] = [(0, "")]
        self._numbers: dict[tuple[int, str], int] = {}

    def longer(self, history: int, word: str) -> int:
        key = (history, word)
        if key not in self._numbers:
            self._numbers[key] = len(self._rows)
            self._rows.append(key)
        return self._numbers[key]

    def words(self, number: int) -> tuple[str, ...]:
        said: list[str] = []
        while number != self.none:
            number, word = self._rows[number]
            said.append(word)
        return tuple(reversed(said))
