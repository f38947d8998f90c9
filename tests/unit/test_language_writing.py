from __future__ import annotations

import random

import pytest

from assistant.adapters.ears.word_graph import word_graph
from assistant.language.rarity import rarity
from assistant.language.shaping import sample
from assistant.language.tree import Choice, Figure, Grammar, Repeat, Sequence, Tagged, Word
from assistant.language.writing import FIGURES, for_writing_ears, unwritten, written_forms


@pytest.mark.parametrize(
    ("word", "forms"),
    [
        ("five", {"five", "Five", "5"}),
        ("ninety", {"ninety", "Ninety", "90"}),
        ("grey", {"grey", "Grey", "gray", "Gray"}),
        ("bourke's", {"bourke's", "Bourke's", "bourkes", "Bourkes"}),
        ("galah", {"galah", "Galah"}),
    ],
)
def test_a_word_is_written_in_all_its_forms(word: str, forms: set[str]):
    assert set(written_forms(word)) == forms
    assert written_forms(word)[word] == 0


def test_a_capital_is_rare_in_a_number_and_usual_in_a_name():
    assert written_forms("five")["Five"] > 0
    assert written_forms("galah")["Galah"] == 0


@pytest.mark.parametrize(
    ("written", "plain"),
    [("95", "95"), ("1,250", "1250"), ("12:50", "1250"), (".5", "0.5"), ("1.25", "1.25")],
)
def test_figures_are_turned_into_the_grammars(written: str, plain: str):
    assert unwritten(written) == plain


def test_figures_stay_for_an_ear_that_writes_and_typing_goes():
    number = Choice((Word("one"), Figure(), Tagged(Word("1st"), "typed")))
    grammar = Grammar("all", {"all": Sequence((number, Repeat(Word("please"), 0, 1)))})
    graph = word_graph(for_writing_ears(grammar))

    assert set(graph.steps[0]) == {"one", FIGURES}
    assert graph.accepts((FIGURES, "please"))


def test_only_what_is_seldom_said_costs_anything():
    assert rarity(("cockatiel", "ninety", "five", "grams")) == 0
    assert rarity(("cockatiel", "roughly", "ninety")) > 0
    assert rarity(("no",)) == 0


def test_samples_of_the_small_grammar_are_what_the_graph_takes():
    number = Choice((Word("one"), Figure()))
    grammar = Grammar("all", {"all": Repeat(number, 1, 3)})
    graph = word_graph(for_writing_ears(grammar))
    choose = random.Random(7).randrange  # noqa: S311 - a sample that is the same each time
    for _ in range(50):
        words, _ = sample(grammar, choose)
        assert graph.accepts(FIGURES if word.isdecimal() else word for word in words)
