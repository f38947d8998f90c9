"""The last value that is allowed and the first that is not, for each limit of a dose."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.limits import (
    cautioned,
    far_from_before,
    implausible_weight,
    lighter_than_adults,
    over_crop,
    over_label,
    over_margin,
    without_crop,
)
from assistant.dosing.refusal import Refusal
from assistant.dosing.species import Crop, Plausibility
from tests.dosing_scene import medicine, species


def said(refusal: Refusal | None) -> str:
    """What the refusal says; nothing where there is none."""
    return refusal.said if refusal else ""


@pytest.mark.parametrize(
    ("grams", "judged"),
    [
        ("180", Plausibility.REFUSE),
        ("180.1", None),
        ("239.9", None),
        ("240", Plausibility.ASK),
    ],
)
def test_a_tenth_lost_is_light_and_a_fifth_gained_is_odd(grams: str, judged: Plausibility | None):
    assert far_from_before(Decimal(grams), Decimal(200)) is judged


def test_the_lightest_usual_adult_is_not_light():
    assert not lighter_than_adults(species("80", "125"), Decimal(80))
    assert lighter_than_adults(species("80", "125"), Decimal("79.9"))


def test_one_step_of_the_scale_is_the_least_it_can_weigh():
    assert implausible_weight(species(), Decimal(20), Decimal(20)) is None
    assert said(implausible_weight(species(), Decimal("19.9"), Decimal(20))) == (
        "A scale with steps of 20 g cannot weigh 19.9 grams. Use a finer scale."
    )


@pytest.mark.parametrize(
    ("grams", "spoken"),
    [
        ("NaN", "that weight"),
        ("12345678901", "that weight"),
        ("1234567890", "1234567890 grams"),
        ("9999.27", "9999.3 grams"),
    ],
)
def test_a_weight_is_said_in_tenths_where_anyone_can_say_it(grams: str, spoken: str):
    refusal = implausible_weight(species(), Decimal(grams), Decimal(1))
    assert said(refusal).startswith(f"Test bird, {spoken}: that cannot be right. ")


def test_the_limits_of_crop_and_margin_are_said_in_thousandths():
    # 50 mL per kg (LafeberVet), a quarter of it: 1.2505 mL at 100.04 g, said to the nearest
    assert said(over_crop(Fraction("1.26149"), Decimal("100.04"))).startswith(
        "1.261 mL is too much for the crop of a bird of 100 grams: the limit is 1.25"
    )


def test_a_dose_of_the_whole_crop_limit_is_refused_after_one_today():
    # 100 g: 1.25 mL may be in the crop at once
    assert said(over_crop(Fraction("1.25"), Decimal(100), Decimal("0.5"))) == (
        "With the 0.5 mL of today that is too much for the crop of a bird of 100 grams: the limit "
        "is 1.25 mL. Ask the vet."
    )
    alone = said(over_crop(Fraction("1.26"), Decimal(100), Decimal("0.5")))
    assert alone.startswith("1.26 mL is too much for the crop")
    assert "a quarter of 50 mL per kg" in alone
    assert "taking a quarter is this tool's own caution" in alone


def test_the_label_dose_itself_is_allowed_and_a_hair_more_is_not():
    # 0.5 mL/kg, 1 in 10: 5 mL of working dilution for a bird of 1 kg
    assert over_label(Decimal(5), Decimal(1000), medicine(), Fraction(0)) is None
    assert over_label(Decimal("5.001"), Decimal(1000), medicine(), Fraction(0)) is not None


def test_a_volume_at_the_margin_is_allowed_and_a_hair_more_is_not():
    # 0.5 mL/kg, 1 in 10, ten times that: 50 mL for a bird of 1 kg
    assert over_margin(Decimal(50), Fraction(1000), medicine()) is None
    assert over_margin(Decimal("50.01"), Fraction(1000), medicine()) is not None


@pytest.mark.parametrize(
    ("crop", "what"),
    [
        (Crop.NONE, "this species has no true crop"),
        (Crop.UNKNOWN, "it is not known here whether this species has a true crop"),
    ],
)
def test_a_bird_without_a_known_crop_is_told_why_it_is_refused(crop: Crop, what: str):
    told = said(without_crop(species(crop=crop)))
    assert told == f"Test bird: {what}. Only a vet can direct this."


def test_a_caution_that_refuses_ends_in_one_full_stop():
    stern = medicine(cautions=[{"for": "finch", "say": "It harms them.", "refuse": True}])
    assert said(cautioned(stern, species())) == (
        "Marigold Demo has a caution for finch: It harms them. Only a vet can direct this."
    )
