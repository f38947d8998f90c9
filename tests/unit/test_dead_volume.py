from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dead_volume import drawn, mean_of, water_density, weighed


def test_what_was_drawn_is_the_way_of_the_plunger():
    assert drawn(Decimal(1), Decimal("0.79")) == Fraction("0.21")


def test_a_gram_of_warm_water_is_more_than_a_millilitre():
    assert weighed(Decimal("4.30"), Decimal("4.50"), Decimal(4)) < Fraction("0.20001")
    assert weighed(Decimal("4.30"), Decimal("4.50"), Decimal(40)) > Fraction("0.2015")


@pytest.mark.parametrize(
    ("celsius", "density"), [("0", "0.9998395"), ("20", "0.9982071"), ("40", "0.9922")]
)
def test_a_row_of_the_table_is_used_as_it_stands(celsius: str, density: str):
    assert water_density(Decimal(celsius)) == Fraction(density)


@pytest.mark.parametrize("celsius", ["-1", "41", "NaN"])
def test_ice_and_steam_are_refused(celsius: str):
    with pytest.raises(ValueError, match="between 0 and 40"):
        water_density(Decimal(celsius))


def test_what_no_needle_can_hold_is_refused():
    with pytest.raises(ValueError, match="stands lower"):
        drawn(Decimal("0.79"), Decimal("0.79"))
    with pytest.raises(ValueError, match="weighs more"):
        weighed(Decimal(5), Decimal(4), Decimal(20))
    with pytest.raises(ValueError, match="No crop needle"):
        drawn(Decimal(10), Decimal(1))


def test_tries_are_told_by_mean_and_spread():
    found = mean_of([Fraction("0.20"), Fraction("0.22"), Fraction("0.21")])
    assert (found.mean_ml, found.spread_ml, found.agrees) == (
        Decimal("0.21"),
        Decimal("0.02"),
        True,
    )


def test_too_few_tries_and_tries_that_differ_are_not_believed():
    assert not mean_of([Fraction("0.2")] * 2).agrees
    assert not mean_of([Fraction("0.2"), Fraction("0.2"), Fraction("0.3")]).agrees
    with pytest.raises(ValueError, match="no try"):
        mean_of([])
