from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dilution import AmbiguousDilution, Dilution

ONE_IN_TEN = Dilution(Decimal(1), Decimal(9))
ONE_TO_TEN = Dilution(Decimal(1), Decimal(10))


@pytest.mark.parametrize(
    ("text", "dilution"),
    [
        ("1 + 9", ONE_IN_TEN),
        ("1+9", ONE_IN_TEN),
        ("1 in 10", ONE_IN_TEN),
        ("1 part in 10", ONE_IN_TEN),
        ("1 to 10", ONE_TO_TEN),
        ("1 part product and 9 parts water", ONE_IN_TEN),
        ("1 part of product and 9 parts of water", ONE_IN_TEN),
        ("1 mL product and 9 mL water", ONE_IN_TEN),
        ("neat", Dilution(Decimal(1), Decimal(0))),
        ("Undiluted", Dilution(Decimal(1), Decimal(0))),
        ("0.5 + 4.5", Dilution(Decimal("0.5"), Decimal("4.5"))),
    ],
)
def test_a_dilution_is_read_from_words(text: str, dilution: Dilution):
    assert Dilution.parse(text) == dilution


def test_one_in_ten_and_one_to_ten_are_different_dilutions():
    assert Dilution.parse("1 in 10").factor == 10
    assert Dilution.parse("1 to 10").factor == 11


@pytest.mark.parametrize("text", ["1:10", "1 : 10"])
def test_the_colon_form_asks_with_both_readings(text: str):
    with pytest.raises(AmbiguousDilution) as caught:
        Dilution.parse(text)
    assert caught.value.readings == (ONE_IN_TEN, ONE_TO_TEN)
    assert "1 part product and 9 parts water" in str(caught.value)
    assert "1 part product and 10 parts water" in str(caught.value)


@pytest.mark.parametrize(
    "text", ["", "ten", "0 + 9", "10 in 1", "-1 + 9", "1/10", "10 %", "1 in", "x" * 9999, "2:1"]
)
def test_what_is_no_dilution_is_refused_in_a_sentence(text: str):
    with pytest.raises(ValueError, match="dilution") as caught:
        Dilution.parse(text)
    assert not isinstance(caught.value, AmbiguousDilution)
    assert len(str(caught.value)) < 150


@pytest.mark.parametrize(
    ("product", "water"), [("0", "9"), ("1", "-1"), ("NaN", "9"), ("1", "Inf")]
)
def test_parts_that_make_no_dilution_are_refused(product: str, water: str):
    with pytest.raises(ValueError, match=r"dilution"):
        Dilution(Decimal(product), Decimal(water))


def test_a_dilution_is_said_in_parts_and_in_short():
    assert ONE_IN_TEN.said == "1 part product and 9 parts water, 1 in 10"
    assert ONE_IN_TEN.short == "1 in 10"
    assert Dilution(Decimal(2), Decimal(8)).short == "1 in 5"
    assert Dilution(Decimal(3), Decimal(7)).short == "3 in 10"
    assert (
        Dilution(Decimal(1), Decimal("0.5")).said == "1 part product and 0.5 parts water, 1 in 1.5"
    )


def test_the_neat_product_is_said_to_be_undiluted():
    assert (Dilution.parse("neat").said, Dilution.parse("neat").short) == (
        "undiluted product",
        "undiluted",
    )


def test_the_two_volumes_make_up_the_whole():
    assert ONE_IN_TEN.product_for(Decimal(25)) == Fraction(5, 2)
    assert ONE_IN_TEN.water_for(Decimal(25)) == Fraction(45, 2)
