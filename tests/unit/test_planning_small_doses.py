from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.adapters.terminal.plan_lines import plan_lines
from assistant.dosing.dilution import Dilution
from assistant.dosing.medicine import read_medicine
from assistant.dosing.species import Species
from assistant.dosing.syringe import Syringe
from assistant.dosing.tables import FigureProblems
from assistant.planning.small_doses import SmallDoses, small_doses
from tests.dosing_scene import MARIGOLD, MIDDLE, medicine
from tests.plan_scene import KIT, SMALL, bird, plan

TINY: Species = replace(SMALL, low_g=Decimal(10), high_g=Decimal(16))
COARSE = replace(KIT, syringes=(MIDDLE,))


def found(*grams: str, weaker: Sequence[str] = ()) -> SmallDoses | None:
    birds = [bird(one, TINY) for one in grams]
    return small_doses(plan(*birds, weaker_dilutions=list(weaker)), KIT)


def test_doses_that_are_read_well_want_no_advice():
    assert small_doses(plan(bird("95")), KIT) is None


def test_the_error_is_that_of_the_mark_and_of_the_syringe():
    # 12 g at 5 mL/kg are 0.06 mL: no rounding, and by ISO 7886-1 0.0162 mL either way, 27 %
    small = found("12")
    assert small is not None
    assert (small.least_ml, small.worst_percent) == (Fraction("0.06"), Fraction(27))


def test_a_finer_syringe_comes_first():
    small = found("12")
    assert small is not None
    assert small.finer == Syringe(Decimal("0.3"), Decimal("0.02"))
    made = plan(bird("12", TINY))
    lines = list(plan_lines(made, small))
    at = next(at for at, line in enumerate(lines) if line.startswith("Small doses: 1 bird of 0.06"))
    assert lines[at + 1].startswith("  First a finer syringe: a 0.3 mL syringe, marked every 0.02")
    assert "only if label or vet allow it" in lines[at + 2]


def test_a_bird_not_weighed_is_judged_by_its_mean_weight():
    made = plan(bird(None, SMALL))
    small = small_doses(made, KIT)
    assert small is not None
    assert small.least_ml == Fraction("0.145")


def test_a_dose_below_the_first_mark_counts_as_too_small():
    made = plan(bird("9", replace(TINY, low_g=Decimal(8))), kit=COARSE)
    small = small_doses(made, COARSE)
    assert small is not None
    assert len(made.refused) == 1
    assert small.worst_percent == 100


def test_a_weaker_dilution_is_named_only_where_the_file_allows_it_and_all_are_served():
    # 1 in 25 makes 0.2 mL of 16 g, all that a quarter of its crop holds: by the standard 9.5 % off
    served = found("16", weaker=["1 + 11", "1 + 24"])
    assert served is not None
    assert served.weaker == Dilution(Decimal(1), Decimal(24))
    for grams, weaker in (("16", "1 + 11"), ("16", "1 + 29"), ("12", "1 + 24")):
        small = found(grams, "16", weaker=[weaker])
        assert small is not None
        assert small.weaker is None


def test_the_way_to_a_weaker_dilution_is_a_new_pot_for_the_whole_round():
    made = plan(bird("16", TINY), weaker_dilutions=["1 + 24"])
    lines = "\n".join(plan_lines(made, small_doses(made, KIT)))
    assert "for the whole round" in lines
    assert "dilution = { product = 1, water = 24 }, run dosewren confirm" in lines
    assert "Never two strengths in one round" in lines


def test_a_medicine_is_diluted_only_as_its_confirmed_file_allows():
    weaker = medicine(weaker_dilutions=["1 + 19"])
    thinner = weaker.diluted(Dilution(Decimal(1), Decimal(19)))
    assert thinner.is_confirmed
    assert thinner.working_ml_per_g == 2 * weaker.working_ml_per_g
    with pytest.raises(ValueError, match="does not allow"):
        weaker.diluted(Dilution(Decimal(1), Decimal(29)))
    unvouched = replace(weaker, confirmation=None)
    assert not unvouched.diluted(Dilution(Decimal(1), Decimal(19))).is_confirmed


def test_allowing_a_weaker_dilution_has_to_be_confirmed():
    plain = read_medicine(MARIGOLD, "m")
    assert read_medicine({**MARIGOLD, "weaker_dilutions": []}, "m").figures == plain.figures
    assert read_medicine({**MARIGOLD, "weaker_dilutions": ["1 + 19"]}, "m").figures != plain.figures


@pytest.mark.parametrize(
    ("weaker", "what"),
    [("1 + 4", "not weaker"), ("1 + 9", "not weaker"), ("1:20", "two ways"), ("lots", "not a dil")],
)
def test_what_is_no_weaker_dilution_is_refused(weaker: str, what: str):
    with pytest.raises(FigureProblems, match=what):
        read_medicine({**MARIGOLD, "weaker_dilutions": [weaker]}, "m")
