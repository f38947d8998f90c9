"""What a plan holds exactly: each of its lines from one side and from the other."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.species import Species
from assistant.dosing.syringe import Syringe
from assistant.planning.doses import ToAsk, Unweighed
from assistant.planning.small_doses import small_doses
from tests.plan_scene import KIT, SMALL, bird, plan

ANY_WEIGHT: Species = replace(SMALL, low_g=Decimal(5), high_g=Decimal(900), mean_g=None)
LARGE_ONLY = replace(KIT, syringes=(Syringe(Decimal(10), Decimal("0.5")),))
HELD_BACK = Fraction(2, 10)

COMMON = (
    *(("5", "0.2"), ("5", "0.1"), ("2.5", "0.1"), ("2.5", "0.05")),
    *(("1", "0.05"), ("1", "0.02"), ("1", "0.01"), ("0.5", "0.05"), ("0.5", "0.02")),
    *(("0.5", "0.01"), ("0.3", "0.02"), ("0.3", "0.01"), ("0.3", "0.005")),
)
"""Syringes that can be had, capacity and mark in mL (common practice, no source)."""


def nearest_mark(exact: Fraction, mark: Fraction) -> Fraction:
    """The mark nearest to a volume; of two equally near the lower."""
    whole = exact // mark
    return mark * (whole + 1 if exact - mark * whole > mark / 2 else whole)


def tolerance(capacity: Fraction, expelled: Fraction) -> Fraction:
    """ISO 7886-1:1993 table 1, from memory."""
    half, of_capacity, of_expelled = (5, 15, 2) if capacity < 5 else (4, 15, 1)
    if expelled >= capacity / 2:
        return expelled * half / 100
    return capacity * of_capacity / 1000 + expelled * of_expelled / 100


def reads(capacity: Fraction, mark: Fraction, exact: Fraction) -> bool:
    """Whether it draws the volume with what the needle keeps, and errs by a tenth at most."""
    volume = nearest_mark(exact, mark)
    if not volume or -(-(volume + HELD_BACK) // mark) * mark > capacity:
        return False
    return abs(volume - exact) / exact + tolerance(capacity, volume) / volume <= Fraction(1, 10)


@pytest.mark.parametrize("grams", [*range(8, 60), *range(60, 500, 11)])
def test_the_finer_syringe_is_the_largest_that_reads_the_dose(grams: int):
    small = small_doses(plan(bird(str(grams), ANY_WEIGHT), kit=LARGE_ONLY), LARGE_ONLY)
    exact = Fraction(grams * 5, 1000)
    sizes = [(Fraction(capacity), Fraction(mark)) for capacity, mark in COMMON]
    fit = [one for one in sizes if reads(*one, exact)]
    if small is None:
        assert reads(Fraction(10), Fraction(1, 2), exact)
        return
    assert small.least_ml == small.most_ml == exact
    found = small.finer and (Fraction(small.finer.capacity_ml), Fraction(small.finer.graduation_ml))
    assert found == (fit[0] if fit else None)


def test_the_least_and_the_most_of_the_small_doses_are_told():
    made = plan(bird("9", ANY_WEIGHT), bird("40", ANY_WEIGHT), kit=LARGE_ONLY)
    small = small_doses(made, LARGE_ONLY)
    assert small is not None
    assert (small.least_ml, small.most_ml) == (Fraction("0.045"), Fraction("0.2"))


def test_a_bird_refused_for_another_reason_is_no_small_dose():
    made = plan(bird("2000", ANY_WEIGHT), bird("400", ANY_WEIGHT), kit=LARGE_ONLY)
    small = small_doses(made, LARGE_ONLY)
    assert len(made.refused) == 1
    assert small is None or len(small.birds) == 1


def test_without_a_mean_the_middle_of_the_range_stands_for_a_bird_not_weighed():
    (planned,) = plan(bird(None, replace(SMALL, mean_g=None))).birds
    assert isinstance(planned.outcome, Unweighed)
    assert (planned.outcome.mean_g, planned.outcome.upper_g) == (Decimal(30), Decimal(35))


@pytest.mark.parametrize(
    ("grams", "why"),
    [("24", "Young, ill, or weighed wrong?"), ("60", "Another bird?")],
)
def test_an_odd_weight_is_asked_about_from_its_side(grams: str, why: str):
    kind = replace(SMALL, low_g=Decimal("24.75"), high_g=Decimal("35.25"))
    (planned,) = plan(bird(grams, kind)).birds
    assert isinstance(planned.outcome, ToAsk)
    assert planned.outcome.said == (
        f"{grams} grams? Usually 24.8 to 35.2 grams. {why} Weigh it again and look at the bird."
    )


def test_a_weight_on_the_lower_line_is_usual():
    (planned,) = plan(bird("25", SMALL)).birds
    assert not isinstance(planned.outcome, ToAsk)
