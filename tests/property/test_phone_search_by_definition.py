"""The search among phones against the definition: every row of columns, collapsed, tried."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.ears.phone_search import Floats, PhoneSearch, Reach
from assistant.adapters.ears.word_graph import WordGraph

COLUMNS = 4
WORDS = ("galah", "no", "um", "the")
"""One usual word and three that cost something (language/rarity.py: 3, 2 and 1)."""

COSTS = {"galah": 0.0, "no": 3.0, "um": 2.0, "the": 1.0}

EXACT = Reach(behind=1e9, paths=10**6, phones_behind=1e9, texts=10**4, rarity=0.5)

Spellings = Mapping[str, Sequence[tuple[int, ...]]]
Scores = dict[tuple[str, ...], float]


@dataclass(frozen=True)
class Scene:
    """A small grammar, its words spelt, and a table."""

    graph: WordGraph
    spellings: Spellings
    table: Floats


@st.composite
def scenes(draw: st.DrawFn) -> Scene:
    states = draw(st.integers(2, 4))
    to = st.integers(0, states - 1)
    steps = draw(
        st.lists(
            st.dictionaries(st.sampled_from(WORDS), to, max_size=3),
            min_size=states,
            max_size=states,
        )
    )
    spelling = st.lists(st.integers(1, COLUMNS - 1), min_size=1, max_size=3).map(tuple)
    spellings = draw(
        st.dictionaries(st.sampled_from(WORDS), st.lists(spelling, min_size=1, max_size=2))
    )
    ends = draw(st.frozensets(to, min_size=1))
    frames = draw(st.integers(1, 5))
    chance = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    return Scene(WordGraph(tuple(steps), ends), spellings, table_of(chance, frames))


def table_of(chance: np.random.Generator, frames: int) -> Floats:
    scores = chance.normal(0, 2, (frames, COLUMNS))
    scores -= np.log(np.exp(scores).sum(axis=1, keepdims=True))
    return scores.astype(np.float32)


def collapsed(path: Sequence[int]) -> tuple[int, ...]:
    """Equal columns in a row become one, then blanks go (Graves et al. 2006, section 3.1)."""
    return tuple(column for column, _ in itertools.groupby(path) if column)


def best_by_phones(table: Floats) -> dict[tuple[int, ...], float]:
    """The score of the best path for every row of phones that the table could be."""
    best: dict[tuple[int, ...], float] = {}
    for path in itertools.product(range(COLUMNS), repeat=len(table)):
        phones = collapsed(path)
        score = sum(float(table[at][column]) for at, column in enumerate(path))
        best[phones] = max(best.get(phones, score), score)
    return best


def sentences(graph: WordGraph, longest: int) -> Iterator[tuple[str, ...]]:
    """Every sentence of the grammar of at least one word and at most so many."""
    for count in range(1, longest + 1):
        yield from filter(graph.accepts, itertools.product(WORDS, repeat=count))


def by_definition(scene: Scene) -> Scores:
    """The score of each sentence that a path through the table can be."""
    best = best_by_phones(scene.table)
    scores: Scores = {}
    for words in sentences(scene.graph, len(scene.table)):
        spelt = itertools.product(*(scene.spellings.get(word, ()) for word in words))
        cost = 0.5 * sum(COSTS[word] for word in words) if len(words) > 1 else 0.0
        rows = (tuple(itertools.chain.from_iterable(one)) for one in spelt)
        found = [best[row] - cost for row in rows if row in best]
        if found:
            scores[words] = max(found)
    return scores


@given(scenes())
def test_every_text_has_the_score_of_its_best_path(scene: Scene):
    found = PhoneSearch(scene.graph, scene.spellings, EXACT).search(scene.table)
    assert {one.words: one.score for one in found} == pytest.approx(by_definition(scene), abs=1e-4)
    assert [one.score for one in found] == sorted((one.score for one in found), reverse=True)


@given(scenes())
def test_the_best_text_is_that_of_the_definition(scene: Scene):
    search = PhoneSearch(scene.graph, scene.spellings, replace(EXACT, texts=1))
    found = search.search(scene.table)
    wanted = by_definition(scene)
    assert bool(found) == bool(wanted)
    assert [wanted[one.words] for one in found] == pytest.approx(
        [max(wanted.values())] if wanted else [], abs=1e-4
    )


@given(scenes(), st.integers(1, 6), st.floats(0.5, 8))
def test_a_narrow_search_finds_only_sentences_and_never_better_paths(
    scene: Scene, paths: int, behind: float
):
    narrow = Reach(behind=behind, paths=paths, phones_behind=behind, texts=3)
    wanted = by_definition(scene)
    found = PhoneSearch(scene.graph, scene.spellings, narrow).search(scene.table)
    assert len(found) <= 3
    assert all(one.score <= wanted[one.words] + 1e-4 for one in found)


@given(scenes())
def test_a_second_search_finds_the_same(scene: Scene):
    search = PhoneSearch(scene.graph, scene.spellings)
    other = table_of(np.random.default_rng(1), 4)
    before = search.search(scene.table)
    search.search(other)
    assert search.search(scene.table) == before
