from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dilution import Dilution
from assistant.dosing.kit import Kit
from assistant.dosing.syringe import Syringe
from assistant.planning.measuring import Mix, Wanted, measure, most_in_one
from assistant.stock.batch import MOST_OFF
from tests.dosing_scene import FINE
from tests.plan_scene import KIT, PUMPED

ONE_IN_TEN = Dilution(Decimal(1), Decimal(9))
NEAT = Dilution(Decimal(1), Decimal(0))


def made(total: str, kit: Kit = KIT, dilution: Dilution = ONE_IN_TEN, **more: bool) -> Mix:
    most = most_in_one(kit, dilution)
    mix = measure(Wanted(Fraction(total), most, dilution, **more), kit)
    assert mix is not None
    return mix


def test_amounts_stand_on_marks_and_are_enough():
    mix = made("41.3")
    assert (mix.product_ml, mix.water_ml) == (Decimal("4.5"), Decimal("40.5"))
    assert mix.total_ml == Decimal(45)
    assert mix.product.said == "the 10 mL syringe, to 4.5 mL"


@pytest.mark.parametrize("total", ["0.6", "3.3", "7.77", "41.3", "99", "123.4", "480"])
def test_the_strength_stays_within_the_limit(total: str):
    mix = made(total)
    assert abs(mix.percent_off(ONE_IN_TEN)) <= MOST_OFF * 100
    assert mix.total_ml >= Fraction(total)


def test_a_label_that_gives_a_most_is_never_made_stronger():
    dilution = Dilution(Decimal(1), Decimal(7))
    for total in range(3, 60):
        assert made(str(total), dilution=dilution, never_stronger=True).percent_off(dilution) <= 0


def test_pumps_are_counted_in_whole_strokes():
    mix = made("290", PUMPED)
    assert (mix.product_ml, mix.water_ml) == (Decimal(30), Decimal(270))
    assert mix.product.said == "the 10 mL syringe, 3 times full"
    assert mix.water is not None
    assert mix.water.said == "18 strokes of the pump of 15 mL a stroke"


def test_an_undiluted_medicine_takes_no_water():
    mix = made("3.3", dilution=NEAT)
    assert (mix.product_ml, mix.water) == (Decimal("3.3"), None)
    assert mix.percent_off(NEAT) == 0


def test_a_syringe_is_filled_again_where_no_other_measure_can_take_over():
    kit = replace(KIT, pots=(), syringes=(Syringe(Decimal(1), Decimal("0.1")), FINE))
    mix = made("9", kit)
    assert mix.water is not None
    assert mix.water.said == "the 1 mL syringe, 8 times full and then to 0.1 mL"


def test_what_cannot_be_shown_is_not_made_up():
    coarse = replace(KIT, pots=(), syringes=(Syringe(Decimal(10), Decimal(5)),))
    dilution = Dilution(Decimal(1), Decimal(99))
    assert measure(Wanted(Fraction(2), Fraction(20), dilution), coarse) is None


def test_a_strength_off_is_told_with_its_side():
    kit = replace(KIT, pots=(), syringes=(Syringe(Decimal(10), Decimal("0.5")),))
    dilution = Dilution(Decimal(1), Decimal("9.1"))
    mix = made("10", kit, dilution)
    assert (mix.product_ml, mix.water_ml) == (Decimal(2), Decimal(18))
    # 1 in 10 where 1 in 10.1 was wanted
    assert mix.percent_off(dilution) == 1
