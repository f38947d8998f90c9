"""What must hold for every dose that is ever said."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.dosing.dose import Dose, DoseRequest, Reason, Refusal, Tools, work_out
from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import Needle, NeedleState, mistakes
from assistant.dosing.species import Crop, Plausibility
from assistant.dosing.syringe import Syringe
from tests.dosing_scene import medicine, species

STATES = [NeedleState.DRY, NeedleState.FULL, NeedleState.RINSED]
GRADUATIONS = ("0.01", "0.02", "0.05", "0.1", "0.2", "0.5", "1")


def decimals(low: str, high: str, places: int = 2) -> st.SearchStrategy[Decimal]:
    return st.decimals(low, high, places=places)


@st.composite
def syringes(draw: st.DrawFn) -> Syringe:
    graduation = Decimal(draw(st.sampled_from(GRADUATIONS)))
    return Syringe(graduation * draw(st.integers(1, 200)), graduation)


@st.composite
def medicines(draw: st.DrawFn) -> Medicine:
    return medicine(
        dose=f"{draw(decimals('0.01', '2'))} mL/kg",
        dilution={"product": draw(st.integers(1, 3)), "water": draw(st.integers(0, 20))},
        safety_multiple=draw(decimals("1", "12")),
        dose_is_maximum=draw(st.booleans()),
        banding={"step_g": draw(st.integers(1, 200)), "cap_percent": draw(st.integers(1, 30))},
    )


@st.composite
def birds(draw: st.DrawFn) -> tuple[DoseRequest, Tools]:
    held = draw(st.lists(syringes(), min_size=1, max_size=4))
    asked = DoseRequest(
        species=species("20", "700"),
        grams=draw(decimals("4", "2200", 1)),
        medicine=draw(medicines()),
        needle=Needle(draw(st.integers(8, 24)), draw(decimals("10", "150", 0))),
        state=draw(st.sampled_from(STATES)),
    )
    round_tools = Tools(
        syringes=tuple(held),
        current=draw(st.sampled_from([None, *held])),
        rounding_limit_percent=draw(decimals("1", "30", 0)),
        scale_step_g=draw(st.sampled_from([Decimal("0.1"), Decimal(1), Decimal(5)])),
        banding=draw(st.booleans()),
    )
    return asked, round_tools


def label_ml(asked: DoseRequest) -> Fraction:
    """The label's dose in working dilution, on a road of its own: kilograms, then parts."""
    label, dilution = asked.medicine.label, asked.medicine.dilution
    neat = Fraction(label.said.split()[0]) * Fraction(asked.grams) / 1000
    return neat + neat * Fraction(dilution.water) / Fraction(dilution.product)


def said(scene: tuple[DoseRequest, Tools]) -> Dose:
    found = work_out(*scene)
    assume(isinstance(found, Dose))
    assert isinstance(found, Dose)
    return found


@given(scene=birds())
def test_the_exact_dose_agrees_with_a_second_working_out(scene: tuple[DoseRequest, Tools]):
    assert said(scene).exact_ml == label_ml(scene[0])


@given(scene=birds())
def test_no_dose_is_above_the_label_beyond_half_a_mark_or_the_cap(scene: tuple[DoseRequest, Tools]):
    found, (asked, _) = said(scene), scene
    volume, label = Fraction(found.volume_ml), label_ml(asked)
    assert asked.medicine.banding is not None
    if asked.medicine.label.is_maximum:
        assert volume <= label
    elif found.band:
        assert volume <= label * (1 + Fraction(asked.medicine.banding.cap_percent) / 100)
    else:
        assert volume - label <= Fraction(found.syringe.graduation_ml) / 2


@given(scene=birds())
def test_no_dose_is_past_the_margin_or_the_quarter_of_the_crop(scene: tuple[DoseRequest, Tools]):
    found, (asked, round_tools) = said(scene), scene
    lightest = asked.grams - round_tools.scale_step_g / 2
    least_label = label_ml(replace(asked, grams=lightest))
    assert asked.medicine.safety_multiple is not None
    assert Fraction(found.volume_ml) <= least_label * Fraction(asked.medicine.safety_multiple)
    # 50 mL/kg, LafeberVet; a quarter, this tool's choice
    assert found.volume_ml * 4 * 1000 <= 50 * asked.grams


@given(scene=birds())
def test_a_dose_stands_on_a_mark_that_the_syringe_has(scene: tuple[DoseRequest, Tools]):
    found, (asked, round_tools) = said(scene), scene
    assert found.syringe in round_tools.syringes
    for mark in (found.volume_ml, found.draw_to_ml):
        assert mark % found.syringe.graduation_ml == 0
        assert 0 < mark <= found.syringe.capacity_ml
    if asked.state is NeedleState.FULL:
        assert found.draw_to_ml == found.volume_ml
    else:
        assert found.draw_to_ml >= found.volume_ml + asked.needle.dead_ml


@given(scene=birds())
def test_a_band_is_never_used_unasked_nor_for_a_bird_below_one_band(
    scene: tuple[DoseRequest, Tools],
):
    found, (asked, round_tools) = said(scene), scene
    banding = asked.medicine.banding
    assert banding is not None
    if found.band:
        assert round_tools.banding
        assert asked.grams >= banding.step_g
        assert found.band.grams % banding.step_g == 0
        assert abs(found.band.grams - asked.grams) < banding.step_g
    else:
        nearest = Fraction(found.volume_ml) - found.exact_ml
        assert abs(nearest) < Fraction(found.syringe.graduation_ml)


@given(scene=birds())
def test_what_is_off_by_more_than_the_limit_is_never_silent(scene: tuple[DoseRequest, Tools]):
    found, (asked, round_tools) = said(scene), scene
    aimed = found.exact_ml
    if found.band:
        aimed = aimed * Fraction(found.band.grams) / Fraction(asked.grams)
    off = abs(Fraction(found.volume_ml) / aimed - 1)
    off += Fraction(round_tools.scale_step_g) / 2 / Fraction(asked.grams)
    kinds = {str(one.kind) for one in found.warnings}
    assert bool(kinds & {"rounding", "scale"}) is (
        off * 100 > Fraction(round_tools.rounding_limit_percent)
    )


@given(scene=birds())
def test_an_unconfirmed_medicine_never_answers(scene: tuple[DoseRequest, Tools]):
    asked, round_tools = scene
    bare = replace(asked, medicine=replace(asked.medicine, confirmation=None))
    found = work_out(bare, round_tools)
    assert isinstance(found, Refusal)
    assert found.reason is Reason.UNCONFIRMED


@given(scene=birds(), crop=st.sampled_from([Crop.NONE, Crop.UNKNOWN]))
def test_a_bird_without_a_known_crop_never_gets_a_dose(
    scene: tuple[DoseRequest, Tools], crop: Crop
):
    asked, round_tools = scene
    without = replace(asked, species=replace(asked.species, crop=crop))
    assert isinstance(work_out(without, round_tools), Refusal)


@given(scene=birds())
def test_every_refusal_is_a_sentence_that_can_be_said(scene: tuple[DoseRequest, Tools]):
    found = work_out(*scene)
    assume(isinstance(found, Refusal))
    assert isinstance(found, Refusal)
    assert found.said[0].isupper() or found.said[0].isdigit()
    assert found.said.endswith((".", "?"))
    assert len(found.said) < 260
    assert not [sign for sign in ("/", "\n", " .", "cc", "ml") if sign in found.said], found.said


@given(low=decimals("1", "500"), span=decimals("0", "500"), grams=decimals("0.1", "5000"))
def test_the_judgement_of_a_weight_agrees_with_its_rule(
    low: Decimal, span: Decimal, grams: Decimal
):
    high = low + span
    verdict = species(str(low), str(high)).judge(grams)
    weight, ends = Fraction(grams), (Fraction(low), Fraction(high))
    usual = ends[0] * Fraction(7, 10) <= weight <= ends[1] * Fraction(3, 2)
    absurd = weight < ends[0] * Fraction(2, 5) or weight > ends[1] * 3
    assert (verdict is Plausibility.USUAL) is usual
    assert (verdict is Plausibility.REFUSE) is absurd


@given(dose=decimals("0.01", "5"), gauge=st.integers(8, 24), length=decimals("10", "150", 0))
def test_the_mistakes_lose_or_add_what_the_needle_holds(dose: Decimal, gauge: int, length: Decimal):
    needle = Needle(gauge, length)
    dry, full, rinsed = (one.delivered_ml for one in mistakes(dose, needle))
    assert dry == rinsed
    assert full - dose == needle.dead_ml
    assert dose - dry == min(dose, needle.dead_ml)
