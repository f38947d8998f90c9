from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from assistant.dosing.cautions import unmatched_cautions
from assistant.dosing.limits import over_crop, over_label, over_margin
from assistant.dosing.medicine import read_medicine
from assistant.dosing.refusal import Reason
from tests.dosing_scene import MARIGOLD, medicine, species


def test_a_volume_above_the_label_beyond_what_is_allowed_is_refused():
    # 100 g at 0.5 mL/kg neat, 1 in 10: 0.5 mL of working dilution
    half_mark = Fraction(5, 1000)
    assert over_label(Decimal("0.505"), Decimal(100), medicine(), half_mark) is None
    found = over_label(Decimal("0.51"), Decimal(100), medicine(), half_mark)
    assert found is not None
    assert found.reason is Reason.OVERDOSE
    assert found.said == "0.51 mL is above the label's dose, 0.5 mL for 100 grams."


def test_the_label_limit_follows_the_dilution():
    undiluted = medicine(dilution="neat")
    assert over_label(Decimal("0.05"), Decimal(100), undiluted, Fraction(0)) is None
    assert over_label(Decimal("0.5"), Decimal(100), undiluted, Fraction(0)) is not None


def test_ten_times_the_dose_is_the_end_of_a_tenfold_margin():
    # the label's margin; the figure is the demo medicine's
    assert over_margin(Decimal(5), Fraction(100), medicine()) is None
    found = over_margin(Decimal("5.01"), Fraction(100), medicine())
    assert found is not None
    assert found.reason is Reason.MARGIN


def test_a_medicine_without_a_safety_multiple_has_no_margin_to_pass():
    table = {key: value for key, value in MARIGOLD.items() if key != "safety_multiple"}
    unknown = read_medicine(table, "medicines.toml")
    assert unknown.safety_multiple is None
    assert over_margin(Decimal(500), Fraction(100), unknown) is None


def test_a_quarter_of_the_crop_is_the_last_volume_allowed():
    # LafeberVet: 50 mL/kg, so 36.02 mL at 720.4 g; a quarter is 9.005 mL
    assert over_crop(Fraction("9.005"), Decimal("720.4")) is None
    assert over_crop(Fraction("9.006"), Decimal("720.4")) is not None


def test_a_caution_for_no_known_bird_is_found_out():
    cautions = [{"for": "pidgeon", "say": "no"}, {"for": "finch", "say": "no"}]
    found = unmatched_cautions(medicine(cautions=cautions), [species()], "medicines.toml")
    assert [problem.what for problem in found] == [
        "no bird here is called “pidgeon”, so this caution would never be heard"
    ]
