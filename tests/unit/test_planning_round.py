from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dose import Dose, DoseRequest, Refusal, Tools, work_out
from assistant.dosing.measures import NeedleChange, Pot
from assistant.dosing.needle import NeedleState
from assistant.dosing.refusal import Reason
from assistant.dosing.species import Crop
from assistant.planning.doses import ToAsk, Unweighed
from assistant.planning.round_plan import Wishes, plan_round
from tests.dosing_scene import medicine
from tests.plan_scene import HOLDS, KIT, LARGE, SMALL, WISHES, bird, plan


def test_a_bird_of_the_plan_gets_the_dose_that_the_dosing_core_says():
    (planned,) = plan(bird("95")).birds
    needle = KIT.default_needle
    request = DoseRequest(LARGE, Decimal(95), medicine(), needle, NeedleState.DRY)
    tools = Tools(KIT.syringes, None, Decimal(10), Decimal(1))
    assert planned.outcome == work_out(request, tools)


def test_the_need_is_doses_and_what_the_needle_keeps_and_a_margin():
    # 95 g and 62 g at 5 mL/kg are 0.475 and 0.31 mL; a tie between two marks goes down
    need = plan(bird("95"), bird("62", replace(SMALL, high_g=Decimal(70)))).need
    assert (need.mean_ml, need.upper_ml) == (Decimal("0.78"), Decimal("0.78"))
    assert (need.primings, need.kept_ml) == (1, HOLDS)
    assert need.spare_ml == Fraction("0.098")
    assert need.total_ml == Fraction("1.078")


def test_each_clean_needle_keeps_its_fill():
    birds = [bird("95", cage=cage) for cage in ("A", "A", "B", "C")]
    kept = {change: plan(*birds, wishes=replace(WISHES, change=change)) for change in NeedleChange}
    primings = {change: made.need.primings for change, made in kept.items()}
    assert primings == {NeedleChange.ROUND: 1, NeedleChange.CAGE: 3, NeedleChange.BIRD: 4}
    assert kept[NeedleChange.BIRD].need.kept_ml == 4 * HOLDS
    assert kept[NeedleChange.BIRD].needles == 4


def test_a_bird_not_weighed_counts_for_the_stock_only():
    made = plan(bird(None))
    (planned,) = made.birds
    assert isinstance(planned.outcome, Unweighed)
    assert made.dosed == ()
    # 94.6 g and 125 g at 5 mL/kg
    assert (made.need.mean_ml, made.need.upper_ml) == (Decimal("0.47"), Decimal("0.62"))


def test_an_odd_weight_is_asked_about_and_counted():
    made = plan(bird("50"))
    (planned,) = made.questions
    assert isinstance(planned.outcome, ToAsk)
    assert planned.outcome.said.startswith("50 grams? Usually 80 to 125 grams. Young, ill, or")
    assert made.dosed == ()
    assert made.need.upper_ml == Decimal("0.25")


@pytest.mark.parametrize(("grams", "marks"), [("79.9", False), ("80", True), ("125", True)])
def test_a_bird_lighter_than_adults_gets_no_marks_as_it_gets_no_dose_unasked(
    grams: str, *, marks: bool
):
    made = plan(bird(grams))
    assert (len(made.dosed), len(made.questions)) == (int(marks), int(not marks))


def test_a_refused_bird_takes_no_stock():
    made = plan(bird("95"), bird("95", replace(LARGE, crop=Crop.NONE)), bird("5"))
    reasons = [one.outcome.reason for one in made.refused if isinstance(one.outcome, Refusal)]
    assert sorted(reasons) == [Reason.CROP, Reason.WEIGHT]
    assert made.need.upper_ml == Decimal("0.47")


def test_nothing_is_made_up_for_no_dose():
    for made in (plan(), plan(bird("5"))):
        assert made.making is None
        assert made.need.total_ml == 0
        assert made.needles == 0


def test_a_medicine_nobody_confirmed_doses_no_bird():
    unvouched = replace(medicine(), confirmation=None)
    made = plan_round([bird("95"), bird(None)], unvouched, KIT, WISHES)
    assert len(made.refused) == 2


def test_a_round_over_more_days_than_the_stock_keeps_is_made_up_again():
    birds = [bird("95") for _ in range(40)]
    days = Wishes(NeedleChange.ROUND, Decimal(10), days=5)
    made = plan(*birds, wishes=days, keeps_days=2)
    assert made.making is not None
    assert made.making.batches == 3
    assert made.need.primings == 3
    assert made.need.unreached_ml == 2 * Decimal("0.67")
    daily = plan(*birds, wishes=days)
    assert daily.making is not None
    assert daily.making.batches == 5


def test_what_does_not_fit_the_pot_is_made_up_in_several():
    kit = replace(KIT, pots=(Pot(Decimal(10), Decimal(1)),))
    made = plan(*[bird("95") for _ in range(40)], kit=kit)
    assert made.making is not None
    # 40 doses of 0.47 mL are 18.8 mL
    assert made.making.batches == 3
    assert made.making.mix.total_ml <= 10
    assert made.making.total_ml >= made.need.total_ml


def test_the_syringes_to_lay_out_are_those_of_the_doses():
    made = plan(
        bird("95"), bird("100"), bird("30", SMALL), bird("400", replace(LARGE, high_g=Decimal(500)))
    )
    assert {one.name: count for one, count in made.syringes.items()} == {
        "1 mL syringe": 3,
        "2.5 mL syringe": 1,
    }


def test_the_birds_stand_cage_by_cage_with_ten_after_nine():
    birds = [bird("95", cage=f"Aviary {count}", name=name) for count in (10, 9) for name in "ba"]
    order = [(one.bird.cage, one.bird.name) for one in plan(*birds).birds]
    assert order == [("Aviary 9", "a"), ("Aviary 9", "b"), ("Aviary 10", "a"), ("Aviary 10", "b")]


def test_every_dose_keeps_room_for_a_dry_needle():
    for planned in plan(*[bird(str(grams)) for grams in range(80, 126)]).dosed:
        assert isinstance(planned.outcome, Dose)
        assert planned.outcome.volume_ml + HOLDS <= planned.outcome.draw_to_ml
        assert planned.outcome.draw_to_ml <= planned.outcome.syringe.capacity_ml
