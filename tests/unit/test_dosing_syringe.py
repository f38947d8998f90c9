from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.syringe import Draw, Syringe, choose
from tests.dosing_scene import FINE, LARGE, MIDDLE

ALL = (LARGE, FINE, MIDDLE)
TEN = Decimal(10)


@pytest.mark.parametrize(
    ("exact", "mark"),
    [("0.474", "0.47"), ("0.475", "0.47"), ("0.4751", "0.48"), ("0.004", "0"), ("0.47", "0.47")],
)
def test_the_nearest_mark_is_read_and_a_tie_goes_down(exact: str, mark: str):
    assert FINE.read(Fraction(exact)) == Decimal(mark)


def test_rounding_down_never_passes_the_exact_volume():
    assert FINE.read(Fraction("0.479"), down=True) == Decimal("0.47")
    assert FINE.read(Fraction("0.48"), down=True) == Decimal("0.48")


def test_the_mark_above_is_not_below_the_volume():
    assert FINE.mark_above(Fraction("0.4701")) == Decimal("0.48")
    assert FINE.mark_above(Fraction("0.47")) == Decimal("0.47")


def test_a_syringe_is_named_by_what_it_holds():
    assert (FINE.name, MIDDLE.name) == ("1 mL syringe", "2.5 mL syringe")


@pytest.mark.parametrize(
    ("capacity", "graduation"),
    [
        ("0", "0.01"),
        ("1", "0"),
        ("-1", "0.1"),
        ("1", "NaN"),
        ("Inf", "1"),
        ("1", "0.3"),
        ("1", "2"),
    ],
)
def test_a_syringe_that_cannot_be_is_refused(capacity: str, graduation: str):
    with pytest.raises(ValueError, match="syringe"):
        Syringe(Decimal(capacity), Decimal(graduation))


def test_the_smallest_syringe_that_reads_within_the_limit_is_taken():
    assert choose(ALL, Draw(Fraction("0.475")), None, TEN) == FINE
    assert choose(ALL, Draw(Fraction("1.5")), None, TEN) == MIDDLE
    assert choose(ALL, Draw(Fraction(6)), None, TEN) == LARGE


def test_the_headroom_for_the_needle_counts():
    assert choose(ALL, Draw(Fraction("0.9"), Fraction("0.2")), None, TEN) == MIDDLE
    assert choose(ALL, Draw(Fraction("0.8"), Fraction("0.2")), None, TEN) == FINE
    assert choose(ALL, Draw(Fraction("0.8"), Fraction("0.2001")), None, TEN) == MIDDLE


def test_the_current_syringe_is_not_changed_without_need():
    assert choose(ALL, Draw(Fraction("0.5")), MIDDLE, TEN) == MIDDLE
    assert choose(ALL, Draw(Fraction("0.15")), MIDDLE, TEN) == FINE
    assert choose(ALL, Draw(Fraction(3)), MIDDLE, TEN) == LARGE


def test_a_mark_as_far_off_as_the_limit_will_do():
    # 0.125 mL read as 0.1 mL is 20 % off
    tenths, exact = Syringe(Decimal(1), Decimal("0.1")), Syringe(Decimal(2), Decimal("0.025"))
    draw = Draw(Fraction("0.125"))
    assert choose((tenths, exact), draw, None, Decimal(20)) == tenths
    assert choose((tenths, exact), draw, None, Decimal("19.9")) == exact


def test_a_syringe_that_is_not_on_the_list_is_not_kept():
    assert choose((FINE,), Draw(Fraction("0.5")), MIDDLE, TEN) == FINE


def test_where_none_reads_within_the_limit_the_least_error_is_taken():
    # 1.65 mL: 1.6 on the middle one is 3 % off, 1.5 on the large one 9 %
    assert choose((LARGE, MIDDLE), Draw(Fraction("1.65")), None, Decimal(1)) == MIDDLE
    assert choose((MIDDLE, LARGE), Draw(Fraction("0.04")), None, TEN) == MIDDLE


def test_no_syringe_is_taken_where_none_holds_the_dose():
    assert choose(ALL, Draw(Fraction("10.1")), None, TEN) == LARGE
    assert choose(ALL, Draw(Fraction("10.3")), None, TEN) is None
    assert choose((), Draw(Fraction(1)), None, TEN) is None


def test_a_maximum_is_judged_by_the_mark_below():
    down = Draw(Fraction("0.29"), down=True)
    assert down.error_percent(MIDDLE) == Fraction(9, 29) * 100
    assert Draw(Fraction("0.29")).error_percent(MIDDLE) == Fraction(1, 29) * 100


def test_the_tolerance_has_one_value_where_its_two_formulas_meet():
    # self-check of the table: ISO 7886-1:1993 table 1, from memory, for information only
    for syringe in ALL:
        half = syringe.capacity_ml / 2
        below = syringe.tolerance_ml(half - Decimal("0.000001"))
        assert abs(syringe.tolerance_ml(half) - below) < Decimal("0.000001")
