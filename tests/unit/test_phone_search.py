"""What the search among phones hears: made-up tables whose right text is plain."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import pytest

from assistant.adapters.ears.phone_search import (
    WIDE,
    Floats,
    PhoneSearch,
    Reach,
    Spelt,
    _Path,
)
from assistant.adapters.ears.word_graph import WordGraph
from assistant.language.rarity import RARITY

A, B, C = 1, 2, 3
COLUMNS = 4

Spellings: TypeAlias = dict[str, list[tuple[int, ...]]]


def table_of(*columns: int, sure: float = 0.94) -> Floats:
    """A table in which each frame is nearly surely this column."""
    rest = (1 - sure) / (COLUMNS - 1)
    rows = [[sure if at == column else rest for at in range(COLUMNS)] for column in columns]
    return np.log(np.array(rows, np.float32))


def one_of(*words: str) -> WordGraph:
    return WordGraph((dict.fromkeys(words, 1), {}), frozenset({1}))


def row_of(*words: str) -> WordGraph:
    steps = [{word: at + 1} for at, word in enumerate(words)]
    return WordGraph((*steps, {}), frozenset({len(words)}))


def texts(found: tuple[Spelt, ...]) -> list[str]:
    return [" ".join(one.words) for one in found]


def test_the_text_that_was_said_comes_first():
    search = PhoneSearch(one_of("ab", "ba"), {"ab": [(A, B)], "ba": [(B, A)]})
    assert texts(search.search(table_of(0, A, A, 0, B, 0)))[0] == "ab"
    assert texts(search.search(table_of(B, B, A)))[0] == "ba"


def test_a_score_is_the_sum_along_the_path():
    (found,) = PhoneSearch(one_of("ab"), {"ab": [(A, B)]}, Reach(texts=1)).search(
        table_of(0, A, B, B)
    )
    assert found.score == pytest.approx(4 * np.log(0.94), abs=1e-5)


def test_two_equal_phones_in_a_row_need_a_blank_between():
    search = PhoneSearch(one_of("aa"), {"aa": [(A, A)]})
    sure = search.search(table_of(A, 0, A))[0].score
    assert sure == pytest.approx(3 * np.log(0.94), abs=1e-5)
    unsure = search.search(table_of(A, A, A))[0].score
    assert unsure == pytest.approx(2 * np.log(0.94) + np.log(0.02), abs=1e-4)
    assert search.search(table_of(A, A)) == ()


def test_two_words_that_meet_in_one_phone_need_a_blank_between():
    search = PhoneSearch(row_of("ba", "ab"), {"ba": [(B, A)], "ab": [(A, B)]})
    assert search.search(table_of(B, A, B)) == ()
    assert texts(search.search(table_of(B, A, 0, A, B))) == ["ba ab"]


def test_a_phone_that_lasts_is_one_phone():
    search = PhoneSearch(one_of("a", "aa"), {"a": [(A,)], "aa": [(A, A)]})
    assert texts(search.search(table_of(A, A, A, A)))[0] == "a"


@pytest.mark.parametrize("word", ["um", "please", "roughly"])
def test_a_seldom_said_word_costs_its_rarity(word: str):
    graph = row_of(word, "b")
    spelt = {word: [(A,)], "b": [(B,)]}
    costs, free = (
        PhoneSearch(graph, spelt, Reach(rarity=weight)).search(table_of(A, B))[0].score
        for weight in (0.5, 0.0)
    )
    assert free - costs == pytest.approx(0.5 * RARITY[word], abs=1e-5)


def test_the_rarity_of_the_last_word_counts_too():
    graph = row_of("b", "please")
    spelt = {"please": [(A,)], "b": [(B,)]}
    (found,) = PhoneSearch(graph, spelt).search(table_of(B, A))
    assert found.score == pytest.approx(2 * np.log(0.94) - 0.5 * RARITY["please"], abs=1e-5)


def test_a_sentence_of_one_word_is_never_rare():
    # as language/rarity.py says it
    (found,) = PhoneSearch(one_of("no"), {"no": [(A,)]}).search(table_of(A))
    assert found.score == pytest.approx(np.log(0.94), abs=1e-5)


def test_of_two_words_that_sound_alike_the_less_rare_comes_first():
    graph = WordGraph(({"um": 1, "galah": 1}, {"b": 2}, {}), frozenset({2}))
    spelt = {"um": [(A,)], "galah": [(A,)], "b": [(B,)]}
    assert texts(PhoneSearch(graph, spelt).search(table_of(A, B))) == ["galah b", "um b"]


@pytest.mark.parametrize("spelt", [{"b": [(B,)]}, {"b": [(B,)], "a": []}, {"b": [(B,)], "a": [()]}])
def test_a_word_without_a_spelling_is_not_heard(spelt: Spellings):
    assert texts(PhoneSearch(one_of("a", "b"), spelt, WIDE).search(table_of(A, A))) == ["b"]
    assert PhoneSearch(row_of("a", "b"), spelt, WIDE).search(table_of(A, B)) == ()


def test_a_word_is_heard_in_any_of_its_spellings():
    search = PhoneSearch(one_of("w"), {"w": [(A, B), (C,)]})
    for table in (table_of(A, B), table_of(C, C)):
        assert search.search(table)[0].score == pytest.approx(2 * np.log(0.94), abs=1e-5)


def test_an_empty_table_holds_no_text():
    search = PhoneSearch(one_of("a"), {"a": [(A,)]})
    assert search.search(np.zeros((0, COLUMNS), np.float32)) == ()


def test_a_table_too_short_for_any_sentence_holds_no_text():
    assert PhoneSearch(one_of("ab"), {"ab": [(A, B)]}).search(table_of(A)) == ()


def test_a_grammar_without_words_hears_nothing():
    assert PhoneSearch(WordGraph(({},), frozenset({0})), {}).search(table_of(0, 0)) == ()


def test_a_table_that_holds_no_numbers_holds_no_text():
    table = np.full((4, COLUMNS), np.nan, np.float32)
    assert PhoneSearch(one_of("a"), {"a": [(A,)]}).search(table) == ()


class Counted(PhoneSearch):
    """Notes how many paths are left after each frame."""

    def _within_reach(self, paths: dict[_Path, float]) -> dict[_Path, float]:
        kept = super()._within_reach(paths)
        counts.append(len(kept))
        return kept


counts: list[int] = []


@pytest.mark.parametrize("paths", [1, 7, 50])
def test_no_more_paths_are_followed_than_allowed(paths: int):
    counts.clear()
    loop = WordGraph(({"a": 0, "b": 0, "ab": 0, "c": 0},), frozenset({0}))
    spelt: Spellings = {"a": [(A,)], "b": [(B,)], "ab": [(A, B), (B, A)], "c": [(C, B, A)]}
    even = np.log(np.full((120, COLUMNS), 1 / COLUMNS, np.float32))
    search = Counted(loop, spelt, Reach(behind=1e9, paths=paths, phones_behind=1e9, texts=3))
    assert len(search.search(even)) <= 3
    assert len(counts) == 120
    assert max(counts) == paths


def test_a_path_too_far_behind_is_given_up():
    search = PhoneSearch(one_of("a", "b"), {"a": [(A,)], "b": [(B,)]}, Reach(behind=2.0))
    assert texts(search.search(table_of(A, A, A))) == ["a"]
    wide = PhoneSearch(one_of("a", "b"), {"a": [(A,)], "b": [(B,)]}, WIDE)
    assert texts(wide.search(table_of(A, A, A))) == ["a", "b"]


def test_what_was_laid_out_is_forgotten_where_it_is_much_and_found_again(
    monkeypatch: pytest.MonkeyPatch,
):
    spellings: dict[str, list[tuple[int, ...]]] = {"ab": [(A, B)], "ba": [(B, A)]}
    search, table = PhoneSearch(row_of("ab", "ba"), spellings), table_of(A, B, 0, B, A)
    before = search.search(table)
    spellings["ab"] = [(C,)]
    assert search.search(table) == before  # what is laid out is kept,
    monkeypatch.setattr("assistant.adapters.ears.phone_search.MOST_PLACES", 3)
    assert search.search(table) != before  # and laid out anew once it is too much
