"""Which amounts a pot is made up of: each limit of the search from one side and from the other."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dilution import Dilution
from assistant.dosing.measures import Liquid, Pot, Pump
from assistant.dosing.syringe import Syringe
from assistant.planning.measuring import Mix, Wanted, measure, most_in_one
from tests.plan_scene import KIT

NEAT = "0"


def syringe(holds: str, mark: str) -> Syringe:
    return Syringe(Decimal(holds), Decimal(mark))


def pot(holds: str, mark: str | None = None) -> Pot:
    return Pot(Decimal(holds), None if mark is None else Decimal(mark))


def made(
    total: str, water: str, *tools: Syringe | Pot | Pump, most: str = "", never: bool = False
) -> Mix | None:
    """The amounts for so many mL of 1 part product and so many of water, `never` stronger."""
    kit = replace(
        KIT,
        syringes=tuple(one for one in tools if isinstance(one, Syringe)),
        pots=tuple(one for one in tools if isinstance(one, Pot)),
        pumps=tuple(one for one in tools if isinstance(one, Pump)),
    )
    dilution = Dilution(Decimal(1), Decimal(water))
    enough = Fraction(most) if most else most_in_one(kit, dilution)
    return measure(Wanted(Fraction(total), enough, dilution, never), kit)


def amounts(
    total: str, water: str, *tools: Syringe | Pot | Pump, never: bool = False
) -> tuple[str, str]:
    """Product and water in mL; they must be found."""
    mix = made(total, water, *tools, never=never)
    assert mix is not None
    return f"{mix.product_ml.normalize():f}", f"{mix.water_ml.normalize():f}"


HALVES = syringe("10", "0.5")
TENTHS = syringe("1", "0.1")
FIFTHS = syringe("2", "0.2")


def test_a_smaller_syringe_is_filled_twice_and_then_a_larger_one_takes_over():
    larger = syringe("5", "0.5")
    assert amounts("3.9", NEAT, FIFTHS, larger) == ("4", "0")
    assert amounts("4.1", NEAT, FIFTHS, larger) == ("4.5", "0")


def test_the_largest_syringe_is_filled_five_times_and_then_a_marked_pot_takes_over():
    assert amounts("49.8", NEAT, HALVES, pot("100", "10")) == ("50", "0")
    assert amounts("50.2", NEAT, HALVES, pot("100", "10")) == ("60", "0")


def test_the_only_syringe_is_filled_forty_times_at_most():
    assert amounts("40", NEAT, TENTHS) == ("40", "0")
    assert made("40.05", NEAT, TENTHS, most="60") is None
    assert made("40.5", NEAT, TENTHS, most="60") is None


def test_a_pump_is_pressed_forty_times_at_most():
    pump = Pump(Decimal(3), Liquid.PRODUCT)
    assert amounts("119", NEAT, TENTHS, pump) == ("120", "0")
    assert made("121", NEAT, TENTHS, pump, most="500") is None


def test_what_is_made_is_enough_where_it_falls_between_two_marks():
    assert amounts("25/3", NEAT, HALVES) == ("8.5", "0")


def test_no_more_is_made_than_the_pot_holds():
    assert made("9", NEAT, HALVES, most="9") is not None
    assert made("8.6", NEAT, HALVES, most="8.7") is None


def test_a_fine_syringe_serves_a_large_pot_too():
    assert amounts("5", NEAT, syringe("1", "0.01")) == ("5", "0")
    assert amounts("153/5", "9", syringe("1", "0.01")) == ("3.06", "27.54")


def test_a_pot_with_one_mark_shows_its_fill():
    assert amounts("101", "10", HALVES, pot("100", "100"), pot("500")) == ("10", "100")


def test_a_pot_s_marks_may_stand_between_whole_millilitres():
    tools = (syringe("20", "2"), pot("62.5", "12.5"), pot("500"))
    assert amounts("124.5", "1", *tools) == ("62.5", "62.5")


@pytest.mark.parametrize(
    ("total", "product"), [("9.5", "10"), ("0.8", "10")], ids=["on the line", "below it"]
)
def test_an_amount_is_measured_where_the_measure_errs_by_a_tenth_at_most(total: str, product: str):
    # a 60 mL syringe may be off by 1.5 % of 60 mL and 1 % of 10 mL, a tenth of these 10 mL
    assert amounts(total, NEAT, syringe("60", "5")) == (product, "0")


HUNDREDTHS = syringe("1", "0.01")
FINE_PUMP = Pump(Decimal("0.01"), Liquid.PRODUCT)


@pytest.mark.parametrize(
    ("total", "water", "tools", "found"),
    [
        # exact for less than a tenth more, though 7.4 + 67.3 mL would be enough
        ("74", "9.1", [syringe("2.5", "0.1")], ("8", "72.8")),
        ("24", "2.5", [syringe("5", "0.2")], ("7.2", "18")),
        ("78", "9", [HALVES, syringe("2.5", "0.1"), pot("120")], ("8", "72")),
        ("21", "9.05", [syringe("2.5", "0.1")], ("2.1", "19")),
        # 4 + 36 mL would be 1 % off; exact amounts cost more than a tenth more
        ("38", "9.1", [HALVES], ("4", "36.5")),
        ("28.5", "9.1", [TENTHS, syringe("5", "0.2")], ("3", "27.2")),
        # 2 + 20 mL are exact and a tenth more to the drop
        ("20", "10", [HALVES, Pump(Decimal("0.9"), Liquid.WATER)], ("2", "20")),
        # 3 + 1.5 mL are exact and too little: the first mark that is enough
        ("4.53", "0.5", [HALVES, HUNDREDTHS], ("3", "1.53")),
        ("4.53", "0.5", [HALVES, syringe("1", "0.02"), FINE_PUMP], ("3", "1.54")),
        ("27.5", "3", [syringe("5", "0.5"), Pump(Decimal("0.3"), Liquid.PRODUCT)], ("7", "21")),
    ],
)
def test_the_nearer_strength_is_worth_a_tenth_more(
    total: str, water: str, tools: list[Syringe | Pot | Pump], found: tuple[str, str]
):
    assert amounts(total, water, *tools) == found


def test_of_strengths_that_are_off_the_nearer_steps_come_first():
    # never stronger: within a fifth of the limit, or within half of it
    assert amounts("32", "9.1", syringe("5", "0.2"), HUNDREDTHS, never=True) == ("3.4", "31")
    assert amounts("28", "9.1", FIFTHS, HUNDREDTHS, never=True) == ("2.8", "25.6")


def test_a_pot_is_read_from_the_mark_on_where_half_a_mark_is_a_tenth():
    mix = made("7", "4", syringe("60", "5"), pot("50", "5"))
    assert mix is not None
    assert mix.water is not None
    assert mix.water.said == "the 50 mL pot, to 40 mL"
    assert made("50", "9", syringe("2.5", "0.1"), pot("250", "25"), never=True) is None
