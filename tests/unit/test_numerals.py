"""Numbers in words and figures."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.language.numerals import (
    NumberProblem,
    digit_words,
    digits_said,
    is_number_word,
    sounds_alike,
    value,
    words,
)


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ("zero", "0"), ("oh", "0"), ("seven", "7"), ("nineteen", "19"), ("twenty", "20"),
        ("ninety five", "95"), ("a hundred", "100"), ("hundred", "100"), ("one hundred", "100"),
        ("a hundred and five", "105"), ("hundred and seven", "107"), ("one hundred five", "105"),
        ("three hundred oh five", "305"), ("one oh five", "105"), ("one zero five", "105"),
        ("one nought five", "105"), ("one o five", "105"), ("nine five", "95"),
        ("two sixty", "260"), ("two sixty five", "265"), ("two sixteen", "216"),
        ("twelve fifty", "1250"), ("twelve hundred", "1200"), ("ten fifty", "1050"),
        ("one double oh", "100"), ("double nine", "99"), ("three double five", "355"),
        ("a thousand", "1000"), ("one thousand and five", "1005"),
        ("two thousand one hundred", "2100"),
        ("four thousand nine hundred and ninety nine", "4999"), ("one thousand two fifty", "1250"),
        ("one two three four", "1234"), ("nought point four", "0.4"), ("point four", "0.4"),
        ("zero point oh five", "0.05"), ("one point two five", "1.25"),
        ("one point twenty five", "1.25"),
        ("ninety five point five", "95.5"), ("twelve and a half", "12.5"), ("half", "0.5"),
        ("ten and a quarter", "10.25"), ("ten and three quarters", "10.75"), ("half a", "0.5"),
        ("three quarters of a", "0.75"), ("12 and a half", "12.5"),
        ("ninety five point zero", "95.0"), ("naught point four", "0.4"), ("half an", "0.5"),
        ("a half", "0.5"), ("quarter", "0.25"), ("a quarter", "0.25"), ("quarter of a", "0.25"),
        ("a quarter of a", "0.25"), ("three quarters", "0.75"), ("ninety five and a half", "95.5"),
        ("ninety five and half", "95.5"), ("twenty five and a quarter", "25.25"),
        ("5 and a half", "5.5"), ("thousand", "1000"), ("an hundred", "100"),
        ("123456789012345", "123456789012345"),
        ("95", "95"), ("0.4", "0.4"), (".4", "0.4"), ("1,200", "1200"), ("1,200.5", "1200.5"),
    ],
)  # fmt: skip
def test_a_number_is_read(said: str, number: str):
    assert value(said.split()) == Decimal(number)


@pytest.mark.parametrize(
    "said",
    [
        "", "cockatiel", "ninety nineteen", "five twenty thirty", "point", "five point", "1.2.3",
        "95,5",
        "1,20", "0,095", "01,200", "9,5,0", "1e9", "nan", "-95", "٩٥", "12345678901234567",
        "double", "double double",
        "hundred hundred", "twenty ten", "and", "hundred thousand hundred", "hundred fox five",
        "hundred oh ten", "1234567890123456", "and a half",
    ],
)  # fmt: skip
def test_what_is_no_number_is_refused(said: str):
    with pytest.raises(NumberProblem):
        value(said.split())


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("0", "zero"), ("5", "five"), ("17", "seventeen"), ("40", "forty"), ("95", "ninety five"),
        ("100", "one hundred"), ("105", "one hundred and five"), ("1000", "one thousand"),
        ("1005", "one thousand and five"), ("1250", "one thousand two hundred and fifty"),
        ("0.48", "zero point four eight"), ("12.5", "twelve point five"),
        ("0.40", "zero point four"),
        ("2.0", "two"), ("0.05", "zero point zero five"), ("123456", "one two three four five six"),
    ],
)  # fmt: skip
def test_a_number_is_said(number: str, said: str):
    assert words(Decimal(number)) == said


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ("and", "'and' is not a number"),
        ("and a half", "'a half' is not a number"),
        ("12x and a half", "'12x' is not a number that can be read only one way"),
        ("1234567890123456", "'123456789012345…' is too long a number"),
    ],
)
def test_what_is_refused_is_said(said: str, message: str):
    with pytest.raises(NumberProblem) as problem:
        value(said.split())
    assert str(problem.value) == message


@pytest.mark.parametrize("word", ["hundred", "thousand", "half", "quarter", "quarters", "double"])
def test_a_word_that_only_numbers_hold_is_one_of_a_number(word: str):
    assert is_number_word(word)


def test_from_a_hundred_thousand_on_a_number_is_spelt_out():
    assert words(Decimal(99_999)) == "ninety nine thousand nine hundred and ninety nine"
    assert words(Decimal(100_000)) == "one zero zero zero zero zero"


def test_a_number_is_said_whole_however_it_is_written():
    assert words(Decimal(1100)) == "one thousand one hundred"
    assert words(Decimal("1E-7")) == "zero point zero zero zero zero zero zero one"
    assert words(Decimal("1E+2")) == "one hundred"


def test_digits_are_told_from_other_numbers():
    assert digits_said(["one", "oh", "five"]) == "105"
    assert digits_said(["double", "two", "one"]) == "221"
    assert digits_said(["twenty", "one"]) is None
    assert digits_said(["one", "double"]) is None
    assert digit_words("105") == "one zero five"


@pytest.mark.parametrize("number", [13, 30, 14, 40, 19, 90, 113, 130, 250, 1016, "13.5", "30.5"])
def test_a_number_that_sounds_like_another_is_known(number: int | str):
    assert sounds_alike(Decimal(number))


@pytest.mark.parametrize("number", [10, 11, 12, 20, 21, 95, 99, 100, 101, 200, 1200, "0.3", "12.5"])
def test_other_numbers_are_not_spelt_out(number: int | str):
    assert not sounds_alike(Decimal(number))


def test_words_of_numbers_are_known():
    assert all(
        map(is_number_word, ["oh", "nine", "twelve", "ninety", "hundred", "half", "95", "7th"])
    )
    assert not any(map(is_number_word, ["cockatiel", "and", "grams", "a", ".", "-5", "٩"]))
