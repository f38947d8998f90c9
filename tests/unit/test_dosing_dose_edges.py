"""A dose at the last value on one side of each line, and at the first on the other."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.dosing.dose import (
    DoseRequest,
    Notice,
    Reason,
    Tools,
    objection,
)
from assistant.dosing.limits import implausible_weight
from assistant.dosing.needle import Needle, NeedleState
from assistant.dosing.syringe import Syringe
from tests.dosing_scene import FINE, MIDDLE, dose, medicine, refusal, request, species, tools

TENTHS = Syringe(Decimal("2.5"), Decimal("0.1"))


def banded(step_g: int, cap_percent: int = 15) -> DoseRequest:
    """A bird of 180 g and a medicine that may be given by band, with a full needle."""
    allowed = medicine(banding={"step_g": step_g, "cap_percent": cap_percent})
    return request("180", medicine=allowed, state=NeedleState.FULL)


def test_a_band_as_far_off_as_its_cap_is_used():
    asked = replace(banded(100, 25), grams=Decimal(160))
    assert dose(asked, tools(TENTHS, banding=True)).volume_ml == Decimal("1.0")


def test_a_band_that_is_off_by_less_than_one_percent_is_used():
    asked = replace(banded(100), grams=Decimal(199))
    found = dose(asked, tools(Syringe(Decimal("2.5"), Decimal("0.005")), banding=True))
    assert found.volume_ml == Decimal("1.000")


def test_a_round_starts_without_bands():
    plain = Tools((TENTHS,), None, Decimal(10), Decimal(1))
    assert dose(banded(100), plain).band is None


def test_a_band_that_no_syringe_holds_leaves_the_birds_own_dose():
    # 190 g as 210 g would be 1.05 mL on a 1 mL syringe
    found = dose(replace(banded(70), grams=Decimal(190)), tools(FINE, banding=True))
    assert (found.volume_ml, found.band) == (Decimal("0.95"), None)


@pytest.mark.parametrize(("volume", "reason"), [("1.035", None), ("1.036", Reason.OVERDOSE)])
def test_the_second_opinion_allows_a_band_its_cap_and_no_more(volume: str, reason: Reason | None):
    # 0.9 mL is the label's dose; 15 % of it is 0.135 mL
    asked, held = banded(100), tools(TENTHS, banding=True)
    found = objection(replace(dose(asked, held), volume_ml=Decimal(volume)), asked, held)
    assert (found.reason if found else None) is reason


def test_the_scale_may_be_off_by_half_a_step_and_no_more():
    # 20 g on a 10 g scale may be 15 g, whose 1.34 times is 0.1005 mL
    asked = request("20", medicine=medicine(safety_multiple=Decimal("1.34")))
    assert dose(asked, tools(scale_step_g=Decimal(10))).volume_ml == Decimal("0.1")


def test_too_much_for_the_largest_syringe_names_it():
    asked = request("2100")
    assert refusal(asked, tools()).said.startswith(
        "10.5 mL and what the needle takes up is more than your largest, a 10 mL syringe, "
    )
    full = replace(asked, state=NeedleState.FULL)
    assert refusal(full, tools()).said.startswith("10.5 mL is more than your largest")


def test_too_little_is_said_to_four_decimals():
    weak = request("105", medicine=medicine(dose="0.0012 mL/kg", dilution="neat"))
    assert refusal(weak, tools()).said.startswith("0.0001 mL cannot be measured")


def test_half_a_step_of_the_scale_is_told_in_percent_of_the_weight():
    assert dose(request("10"), tools()).scale_percent == Decimal("5.0")


@pytest.mark.parametrize(("grams", "side"), [("99.5", "0.5 % more"), ("100.5", "0.5 % less")])
def test_a_mark_that_is_hardly_off_is_told_on_its_side(grams: str, side: str):
    strict = tools(FINE, rounding_limit_percent=Decimal("0.1"))
    [warning] = dose(request(grams), strict).warnings
    assert (warning.kind, side in warning.text) == (Notice.ROUNDING, True)


def test_a_mark_as_far_off_as_the_limit_is_not_the_syringes_fault():
    # 0.125 mL on marks of 0.1 mL is 20 % too little, and the scale comes on top
    found = dose(request("25"), tools(MIDDLE, rounding_limit_percent=Decimal(20)))
    assert [one.kind for one in found.warnings] == [Notice.SCALE]


def test_an_overfill_up_to_the_safety_multiple_is_not_warned_about():
    # 0.5 mL and 0.2 mL once more are 1.4 times the dose
    narrow = medicine(safety_multiple=Decimal("1.4"))
    asked = request(
        "100", medicine=narrow, needle=Needle(14, Decimal(75), measured_ml=Decimal("0.2"))
    )
    assert dose(asked, tools()).warnings == ()


def test_one_gram_is_said_as_one():
    refused = implausible_weight(species(), Decimal(1), Decimal(1))
    assert refused is not None
    assert refused.said.startswith("Test bird, 1 gram: ")
