"""What every keeper of the trade knows, worked out by the tool itself.

Where a fact has a source it is named; the others are common practice, no source.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dilution import Dilution
from assistant.dosing.dose import Dose
from assistant.dosing.limits import over_margin
from assistant.dosing.needle import Needle, bore_ml, minimum_bore_ml, mistakes
from assistant.dosing.syringe import Syringe
from tests.dosing_scene import MIDDLE, dose, medicine, request, tools


def given(grams: str, *syringes: Syringe, **changes: object) -> Dose:
    return dose(request(grams, **changes), tools(*syringes, banding=True))


def test_one_part_in_ten_is_made_of_1_ml_and_9_ml():
    # Baer 2007, Medical Laboratory Observer: one volume of concentrate with nine of water
    dilution = Dilution.parse("1 part in 10")
    assert dilution == Dilution(Decimal(1), Decimal(9))
    assert dilution.product_for(Decimal(10)) == 1
    assert dilution.water_for(Decimal(10)) == 9


def test_a_bird_of_100_g_gets_half_a_millilitre():
    # common practice, no source
    assert given("100").volume_ml == Decimal("0.5")


def test_a_bird_of_95_g_gets_about_half_a_millilitre():
    # common practice, no source
    found = given("95")
    assert found.exact_ml == Fraction("0.475")
    assert abs(found.volume_ml - Decimal("0.5")) <= Decimal("0.05")
    assert given("95", MIDDLE).volume_ml == Decimal("0.5")


def test_a_bird_of_180_g_banded_as_200_g_gets_1_ml():
    # common practice, no source
    found = given("180", medicine=medicine(banding={"step_g": 100}))
    assert found.volume_ml == 1
    assert found.band is not None
    assert found.band.grams == 200


def test_an_unprimed_needle_of_0_4_ml_leaves_0_1_ml_of_a_dose_of_0_5_ml():
    # common practice, no source
    unprimed = mistakes(Decimal("0.5"), Needle(12, Decimal(100), measured_ml=Decimal("0.4")))[0]
    assert unprimed.delivered_ml == Decimal("0.1")


def test_an_unprimed_14_gauge_needle_takes_half_of_0_3_ml():
    # derived: a 14 gauge bore of 75 mm holds 0.1508 mL, so 0.1492 mL is left, 50.3 % short
    unprimed = mistakes(Decimal("0.3"), Needle(14, Decimal(75), hub_ml=Decimal(0)))[0]
    assert unprimed.delivered_ml == Decimal("0.1492")
    assert unprimed.error_percent == Decimal("-50.3")


def test_a_12_gauge_needle_of_100_mm_holds_0_366_ml():
    # Stubs nominal bore 2.159 mm: comparison table in an encyclopedia
    assert round(bore_ml(12, Decimal(100)), 3) == Decimal("0.366")


def test_a_12_gauge_needle_of_100_mm_holds_at_least_0_299_ml():
    # ISO 9626:1991 least bore 1.950 mm, from memory: a bound for the nominal bore, never a limit
    assert round(minimum_bore_ml(12, Decimal(100)), 3) == Decimal("0.299")
    assert bore_ml(12, Decimal(100)) > minimum_bore_ml(12, Decimal(100))


@pytest.mark.parametrize(("volume", "harm"), [("0.5", False), ("5", False), ("5.01", True)])
def test_ten_times_the_dose_is_where_harm_begins_with_a_tenfold_margin(volume: str, harm: bool):  # noqa: FBT001 - a row of the table above
    # the margin is the label's; that its end is the limit is common practice, no source
    found = over_margin(Decimal(volume), Fraction(100), medicine(safety_multiple=10))
    assert (found is not None) is harm
