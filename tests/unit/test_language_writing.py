from __future__ import annotations

import random

import pytest

from assistant.adapters.ears.word_graph import word_graph
from assistant.language.rarity import rarity
from assistant.language.shaping import FOR_SOME, sample
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


@pytest.mark.parametrize(
    ("word", "forms"),
    [
        ("galah", {"galah": 0.0, "Galah": 0.0}),
        ("five", {"five": 0.0, "Five": 1.0, "5": 0.0}),
        ("nought", {"nought": 0.0, "Nought": 1.0, "naught": 0.0, "Naught": 1.0, "0": 0.0}),
        ("bourke's", {"bourke's": 0.0, "Bourke's": 0.0, "bourkes": 0.0, "Bourkes": 0.0}),
        ("ounce", {"ounce": 0.0, "Ounce": 1.0, "oz": 0.0, "Oz": 1.0}),
    ],
)
def test_a_word_is_written_in_these_ways(word: str, forms: dict[str, float]):
    assert written_forms(word) == forms


WRITTEN = {
    "oh": ("o", "O", "0"), "zero": ("0",), "ten": ("10",), "twelve": ("12",), "nineteen": ("19",),
    "one": ("1",), "nine": ("9",), "twenty": ("20",), "ninety": ("90",),
    "gram": ("g",), "grams": ("g", "gm"), "kilo": ("kg",), "kilos": ("kg",), "kilogram": ("kg",),
    "kilograms": ("kg",), "ounces": ("oz",), "pound": ("lb",), "pounds": ("lb", "lbs"),
    "okay": ("ok", "OK"), "er": ("uh",), "grey": ("gray",), "gray": ("grey",), "rumped": ("rump",),
    "goodbye": ("good bye",), "irn": ("IRN",), "gcc": ("GCC",), "cag": ("CAG",), "tag": ("TAG",),
}  # fmt: skip


@pytest.mark.parametrize("word", WRITTEN)
def test_a_word_is_written_short_or_in_another_way_too(word: str):
    small = {form.lower() for form in written_forms(word)}
    assert small == {word, *(form.lower() for form in WRITTEN[word])}
    assert set(WRITTEN[word]) <= set(written_forms(word))


SMALL = (
    "hundred", "thousand", "point", "half", "quarter", "quarters", "and", "a", "an", "gram",
    "grams", "kilo", "kilos", "kilogram", "kilograms", "please", "thanks", "you", "ounce", "ounces",
    "pound", "pounds", "is", "at", "of", "weighs", "weighing", "oh", "zero", "five", "ten", "sixty",
)  # fmt: skip


@pytest.mark.parametrize("word", SMALL)
def test_a_small_word_is_seldom_written_with_a_capital(word: str):
    assert written_forms(word)[word.capitalize()] == 1.0
    assert written_forms(word)[word] == 0.0


def test_an_ear_that_writes_is_given_the_place_of_a_figure():
    only = next(iter(FOR_SOME))
    item = Sequence((Tagged(Figure(), "n"), Repeat(Tagged(Figure(), "m"), 0, 1), Word("g")))
    marked = Sequence(
        (Tagged(Word(FIGURES), "n"), Repeat(Tagged(Word(FIGURES), "m"), 0, 1), Word("g"))
    )
    assert for_writing_ears(Grammar("a", {"a": item})) == Grammar("a", {"a": marked})
    typed = Grammar("a", {"a": Sequence((Repeat(Tagged(Figure(), only), 0, 1), Word("g")))})
    assert FIGURES == "#"
    assert for_writing_ears(typed).rules == {"a": Sequence((Sequence(()), Word("g")))}


def test_figures_are_taken_as_the_grammar_has_them():
    assert [unwritten(one) for one in ("1,250", "12:50", ".5", "95")] == [
        *("1250", "1250", "0.5", "95"),
    ]
