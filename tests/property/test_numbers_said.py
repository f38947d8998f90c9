"""Numbers as two other libraries say and read them, and as we say them back."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words
from word2number import w2n

from assistant.language.matching import Matcher
from assistant.language.numerals import digit_words, value, words
from assistant.language.requests import DoseWanted
from assistant.language.tokens import tokens
from assistant.language.tree import Grammar
from assistant.language.understanding import understand
from tests.talk_scene import demo_lexicon

NUMBERS = range(1, 5001)


@pytest.mark.parametrize("wording", ["en_GB", "en"])
def test_every_number_reads_back_from_either_wording(wording: str):
    said = {number: num2words(number, lang=wording) for number in NUMBERS}
    wrong = {n: text for n, text in said.items() if value(tokens(text)) != n}
    assert wrong == {}


@pytest.mark.parametrize("wording", ["en_GB", "en"])
def test_every_number_is_in_the_grammar(wording: str):
    numbers = Matcher(Grammar("number", demo_lexicon().grammar.rules))
    said = (tokens(num2words(number, lang=wording)) for number in NUMBERS)
    assert [text for text in said if not numbers.readings(text)] == []


@pytest.mark.parametrize("wording", ["en_GB", "en"])
def test_a_number_is_understood_as_the_one_weight(wording: str):
    for number in NUMBERS[::7]:
        found = understand(f"{num2words(number, lang=wording)} grams", demo_lexicon())
        (request,) = found.requests
        assert isinstance(request, DoseWanted)
        assert [weight.grams for weight in request.weights] == [number]


@pytest.mark.parametrize("wording", ["en_GB", "en"])
def test_a_second_library_reads_the_same_numbers(wording: str):
    """Without the commas, on which word2number gives up."""
    for number in NUMBERS:
        text = num2words(number, lang=wording).replace(",", "")
        assert w2n.word_to_num(text) == value(tokens(text)) == number


@pytest.mark.parametrize(
    ("said", "theirs", "ours"),
    [
        # it adds up words that stand side by side, where a keeper leaves hundreds unsaid
        ("two sixty", 62, 260),
        ("twelve fifty", 62, 1250),
        # or says the digits one by one
        ("nine five", 14, 95),
        ("one two five", 7, 125),
        # "a" is no number word to it, so that "and" joins the wrong ones
        ("a hundred and five", 500, 105),
        ("hundred and ten", 1000, 110),
        # it drops what it does not know: oh, double, half
        ("one oh five", 6, 105),
        ("double five", 5, 55),
        ("two and a half", 2, "2.5"),
    ],
)
def test_where_the_second_library_differs_it_is_not_made_for_keepers(
    said: str, theirs: int, ours: int | str
):
    assert w2n.word_to_num(said) == theirs
    assert value(said.split()) == Decimal(ours)


@given(st.integers(0, 99_999), st.integers(0, 999))
def test_what_we_say_reads_back(whole: int, thousandths: int):
    number = Decimal(whole) + Decimal(thousandths) / 1000
    assert value(words(number).split()) == number


@given(st.integers(1, 9999))
def test_digits_read_back_as_the_number(number: int):
    assert value(digit_words(str(number)).split()) == number


@given(st.integers(1, 9), st.integers(10, 99))
def test_hundreds_can_be_left_unsaid(hundreds: int, rest: int):
    said = f"{num2words(hundreds)} {num2words(rest)}"
    assert value(tokens(said)) == hundreds * 100 + rest


@given(st.integers(1, 9), st.integers(1, 99))
def test_a_hundred_may_be_said_with_or_without_and(hundreds: int, rest: int):
    first = "a" if hundreds == 1 else num2words(hundreds)
    for joint in (" and ", " "):
        said = f"{first} hundred{joint}{num2words(rest)}"
        assert value(tokens(said)) == hundreds * 100 + rest


@given(st.decimals(Decimal("0.001"), Decimal(5000), places=3, allow_nan=False))
def test_a_weight_in_figures_is_exact(number: Decimal):
    for unit, factor in (("g", 1), ("kg", 1000)):
        (request,) = understand(f"{number}{unit}", demo_lexicon()).requests
        assert isinstance(request, DoseWanted)
        assert request.weights[0].grams == number * factor
