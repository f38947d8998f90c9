from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dose import (
    Dose,
    Notice,
    Reason,
    Refusal,
    objection,
    work_out,
)
from assistant.dosing.medicine import read_medicine
from assistant.dosing.needle import Needle, NeedleState
from assistant.dosing.species import Crop
from assistant.dosing.syringe import Syringe
from tests.dosing_scene import (
    FINE,
    LARGE,
    MARIGOLD,
    MIDDLE,
    dose,
    medicine,
    refusal,
    request,
    species,
    tools,
)


def test_a_dose_is_exact_before_it_is_rounded_to_a_mark():
    found = dose(request("95"), tools())
    assert found.exact_ml == Fraction(475, 1000)
    assert found.volume_ml == Decimal("0.47")
    assert found.rounding_percent == Decimal("-1.1")
    assert found.syringe == FINE


def test_a_dry_needle_is_drawn_past_the_mark_by_what_it_holds():
    # bore of 14 gauge, 75 mm: 0.1508 mL; hub 0.05 mL; 0.47 + 0.2008 goes up to the next mark
    found = dose(request("95"), tools())
    assert (found.dead_ml, found.draw_to_ml) == (Decimal("0.2008"), Decimal("0.68"))


def test_a_full_needle_is_drawn_to_the_mark_only():
    found = dose(request("95", state=NeedleState.FULL), tools())
    assert found.draw_to_ml == found.volume_ml


def test_a_needle_in_an_unknown_state_is_asked_about():
    found = refusal(request("95", state=NeedleState.UNKNOWN), tools())
    assert found.reason is Reason.NEEDLE
    assert found.said == "Is the needle dry, full of this medicine, or rinsed?"


def test_an_unconfirmed_medicine_answers_nothing():
    unchecked = read_medicine(MARIGOLD, "medicines.toml")
    found = refusal(request("95", medicine=unchecked), tools())
    assert found.reason is Reason.UNCONFIRMED
    assert "Marigold Demo is not confirmed" in found.said


def test_a_medicine_edited_after_its_confirmation_answers_nothing():
    table = {
        **MARIGOLD,
        "confirmed_by": "Demo Keeper",
        "confirmed_on": "2025-03-31",
        "confirmed_figures": medicine().figures,
    }
    assert isinstance(work_out(request("95", medicine=read_medicine(table, "m")), tools()), Dose)
    edited = read_medicine({**table, "dose": "5 mL/kg"}, "m")
    assert refusal(request("95", medicine=edited), tools()).reason is Reason.EDITED


@pytest.mark.parametrize("grams", ["39.9", "601", "1e9", "1e999999", "0", "-5", "NaN", "Infinity"])
def test_an_absurd_weight_is_refused_with_the_usual_range(grams: str):
    # 0.4 times 100 g and 3 times 200 g are the ends
    found = refusal(request(grams, species=species("100", "200")), tools())
    assert found.reason is Reason.WEIGHT
    assert "Usually 100 to 200 grams. Weigh it again." in found.said


@pytest.mark.parametrize("grams", ["40", "600"])
def test_the_ends_of_what_is_possible_are_still_dosed(grams: str):
    assert dose(request(grams, species=species("100", "200")), tools())


def test_a_bird_lighter_than_a_step_of_the_scale_is_refused():
    found = refusal(request("8"), tools(scale_step_g=Decimal(10)))
    assert found.reason is Reason.WEIGHT
    assert "steps of 10 g cannot weigh 8 g" in found.said


def test_a_caution_refuses_and_leaves_the_bird_to_a_vet():
    cautioned = medicine(cautions=[{"for": "finches", "say": "deaths are on record"}])
    found = refusal(request("95", medicine=cautioned), tools())
    assert found.reason is Reason.CAUTION
    assert "deaths are on record. Only a vet can direct this." in found.said


def test_a_caution_that_is_only_to_be_said_comes_with_the_dose():
    milder = [{"for": "tester", "say": "Not in the moult.", "refuse": False}]
    found = dose(request("95", medicine=medicine(cautions=milder)), tools())
    assert [(one.kind, one.text) for one in found.warnings] == [
        (Notice.CAUTION, "Not in the moult.")
    ]


def test_a_caution_for_another_group_changes_nothing():
    other = medicine(cautions=[{"for": "pigeon", "say": "deaths are on record"}])
    assert dose(request("95", medicine=other), tools()).warnings == ()


@pytest.mark.parametrize("crop", [Crop.NONE, Crop.UNKNOWN])
def test_a_bird_without_a_known_crop_is_for_a_vet(crop: Crop):
    found = refusal(request("95", species=species(crop=crop)), tools())
    assert found.reason is Reason.CROP
    assert "Only a vet can direct this." in found.said


def test_a_volume_over_a_quarter_of_the_crop_is_refused_with_its_source():
    # 100 g of bird: crop 5 mL at 50 mL/kg (LafeberVet), a quarter is 1.25 mL
    at_limit = medicine(dose="1.25 mL/kg", safety_multiple=1000)
    assert dose(request("100", medicine=at_limit), tools()).volume_ml <= Decimal("1.25")
    found = refusal(request("100", medicine=medicine(dose="1.26 mL/kg")), tools())
    assert found.reason is Reason.CROP
    assert "1.26 mL is too much" in found.said
    assert "1.25 mL, a quarter of 50 mL per kg" in found.said
    assert "LafeberVet" in found.said


def test_rounding_up_past_the_crop_limit_is_refused_too():
    # 12.5 mL/kg of working dilution is the limit itself; a coarse mark lies above it
    at_limit = medicine(dose="1.25 mL/kg")
    coarse = Syringe(Decimal(3), Decimal("1.5"))
    found = refusal(request("100", medicine=at_limit), tools(coarse))
    assert found.reason is Reason.CROP


def test_a_dose_that_rounds_to_nothing_needs_a_finer_syringe():
    weak = medicine(dose="0.004 mL/kg", dilution="neat")
    found = refusal(request("100", medicine=weak), tools())
    assert found.reason is Reason.TOO_SMALL
    assert "0.0004 mL cannot be measured on a 1 mL syringe marked every 0.01 mL" in found.said


def test_a_dose_that_no_syringe_holds_with_its_needle_is_too_big():
    # 0.85 mL and 0.2008 mL in the needle do not fit in 1 mL; with a full needle they do
    found = refusal(request("170"), tools(FINE))
    assert found.reason is Reason.TOO_BIG
    assert "0.85 mL and what the needle takes up" in found.said
    assert dose(request("170", state=NeedleState.FULL), tools(FINE)).volume_ml == Decimal("0.85")


def test_a_kit_without_a_syringe_says_so():
    bare = work_out(request("95"), tools(syringes=()))
    assert isinstance(bare, Refusal)
    assert bare.said == "There is no syringe in your kit. Add yours to the kit."


def test_a_mark_further_off_than_the_limit_is_warned_about():
    # 0.15 mL on marks of 0.1 mL: the tie goes down to 0.1 mL, a third too little
    found = dose(request("30"), tools(MIDDLE))
    assert (found.volume_ml, found.rounding_percent) == (Decimal("0.1"), Decimal("-33.3"))
    assert [one.kind for one in found.warnings] == [Notice.ROUNDING]
    assert "33.3 % less" in found.warnings[0].text


def test_a_mark_a_little_further_off_than_the_limit_is_the_syringes_fault():
    # 0.35 mL on marks of 0.1 mL: 0.3 mL is 14.3 % too little
    found = dose(request("70"), tools(MIDDLE))
    assert [one.kind for one in found.warnings] == [Notice.ROUNDING]
    assert dose(request("70"), tools(MIDDLE, rounding_limit_percent=Decimal(15))).warnings == ()


def test_the_step_of_the_scale_counts_in_the_error():
    # 13 g: the mark is 7.7 % low, half a gram is 3.8 %
    found = dose(request("13"), tools())
    assert (found.rounding_percent, found.scale_percent) == (Decimal("-7.7"), Decimal("3.8"))
    assert [one.kind for one in found.warnings] == [Notice.SCALE]
    assert "11.5 % off" in found.warnings[0].text


def test_a_maximum_is_rounded_down():
    plain, most = medicine(), medicine(dose_is_maximum=True)
    assert dose(request("98", medicine=plain), tools(MIDDLE)).volume_ml == Decimal("0.5")
    assert dose(request("98", medicine=most), tools(MIDDLE)).volume_ml == Decimal("0.4")


def test_a_maximum_below_the_first_mark_is_too_small():
    most = medicine(dose_is_maximum=True)
    assert refusal(request("19", medicine=most), tools(MIDDLE)).reason is Reason.TOO_SMALL
    assert dose(request("19"), tools(MIDDLE)).volume_ml == Decimal("0.1")


def test_a_mark_past_the_safety_multiple_is_refused():
    # 0.06 mL on marks of 0.1 mL is 1.67 times the dose
    narrow = medicine(safety_multiple=Decimal("1.5"))
    found = refusal(request("12", medicine=narrow), tools(MIDDLE))
    assert found.reason is Reason.MARGIN
    assert "1.5 times the label's dose" in found.said


def test_the_safety_multiple_holds_for_the_lightest_bird_the_scale_may_show():
    # 20 g on a 10 g scale may be 15 g: 0.1 mL is then 1.33 times its dose
    narrow = request("20", medicine=medicine(safety_multiple=Decimal("1.3")))
    assert refusal(narrow, tools(scale_step_g=Decimal(10))).reason is Reason.MARGIN
    assert dose(narrow, tools(scale_step_g=Decimal(1))).volume_ml == Decimal("0.1")


def test_an_overfill_past_the_safety_multiple_is_warned_about():
    wide = Needle(12, Decimal(100), measured_ml=Decimal("0.6"))
    found = dose(request("12", needle=wide), tools())
    assert [one.kind for one in found.warnings] == [Notice.OVERFILL]
    assert "0.66 mL would be given" in found.warnings[0].text
    assert "multiple" not in found.warnings[0].text


def test_the_current_syringe_is_kept_while_it_will_do():
    assert dose(request("100"), tools(current=MIDDLE)).syringe == MIDDLE
    assert dose(request("30"), tools(current=MIDDLE)).syringe == FINE
    assert dose(request("1000"), tools(current=MIDDLE)).syringe == LARGE


def test_a_wrongly_worked_out_volume_meets_a_second_opinion():
    asked, held = request("100"), tools()
    right = dose(asked, held)
    assert objection(right, asked, held) is None
    found = objection(replace(right, volume_ml=Decimal("0.51")), asked, held)
    assert found is not None
    assert found.reason is Reason.OVERDOSE


def test_the_second_opinion_gives_a_maximum_no_allowance_for_rounding():
    asked, held = request("101", medicine=medicine(dose_is_maximum=True)), tools()
    right = dose(asked, held)
    assert right.volume_ml == Decimal("0.5")
    # 0.505 mL is the label's most; the next mark is half a mark above it
    found = objection(replace(right, volume_ml=Decimal("0.51")), asked, held)
    assert found is not None
    assert found.reason is Reason.OVERDOSE
