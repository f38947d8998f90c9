"""The amounts to measure, against every pair of amounts that the measures show.

The search looks at few of them.  Here all are written out, with exact fractions, from what a
measure is: whole marks, from the first that it shows well, as often as it may be filled.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from assistant.dosing.dilution import Dilution
from assistant.dosing.kit import Kit
from assistant.dosing.measures import Liquid, Pot, Pump
from assistant.dosing.syringe import Syringe
from assistant.planning.measuring import Wanted, measure, most_in_one
from tests.plan_scene import KIT

SYRINGES = tuple(
    Syringe(Decimal(capacity), Decimal(mark))
    for capacity, mark in (("2", "0.2"), ("5", "0.5"), ("10", "0.5"), ("20", "2"))
)
POTS = tuple(Pot(Decimal(size), Decimal(mark)) for size, mark in ((50, 5), (100, 10), (250, 25)))
BLIND_POT = Pot(Decimal(120))
PUMPS = (Pump(Decimal(15), Liquid.WATER), Pump(Decimal(2), Liquid.PRODUCT))
A_TENTH_MORE = Fraction(11, 10)
OFF = Fraction(1, 100)

kits = st.builds(
    lambda syringes, pots, pumps: replace(KIT, syringes=syringes, pots=pots, pumps=pumps),
    st.lists(st.sampled_from(SYRINGES), min_size=1, max_size=2, unique=True).map(tuple),
    st.lists(st.sampled_from((*POTS, BLIND_POT)), max_size=2, unique=True).map(tuple),
    st.lists(st.sampled_from(PUMPS), max_size=2, unique=True).map(tuple),
)


@dataclass(frozen=True, slots=True)
class Pair:
    """Product and water in mL, and how far the strength is off, as a share of what it should be."""

    product: Fraction
    water: Fraction
    off: Fraction

    @property
    def total(self) -> Fraction:
        """What both make, in mL."""
        return self.product + self.water


def shows_well(tool: Syringe | Pot, amount: Decimal) -> bool:
    """By a tenth: the tolerance of ISO 7886-1 for a syringe, half a mark for a pot."""
    if isinstance(tool, Syringe):
        return tool.tolerance_ml(amount) * 10 <= amount
    return tool.graduation_ml is not None and tool.graduation_ml * 5 <= amount


def amounts(kit: Kit, liquid: Liquid) -> set[Fraction]:
    """All that can be measured of a liquid."""
    marked = [pot for pot in kit.pots if pot.graduation_ml]
    pumps = [pump for pump in kit.pumps if pump.of is liquid]
    largest = max(one.capacity_ml for one in kit.syringes)
    found = {Fraction(pump.stroke_ml) * times for pump in pumps for times in range(1, 41)}
    tools: tuple[Syringe | Pot, ...] = (*kit.syringes, *marked)
    for tool in tools:
        mark = tool.graduation_ml or Decimal(0)
        in_full = int(tool.capacity_ml / mark)
        fills = 2 if tool.capacity_ml < largest else 5 if marked or pumps else 40
        first = next(n for n in range(1, in_full + 1) if shows_well(tool, mark * n) or n == in_full)
        found |= {Fraction(mark) * n for n in range(first, in_full * fills + 1)}
    return found


def pairs(wanted: Wanted, kit: Kit) -> Iterator[Pair]:
    """Every pair that makes enough, not too much, and is near enough in strength."""
    waters = amounts(kit, Liquid.WATER) if wanted.dilution.water else {Fraction(0)}
    for product in amounts(kit, Liquid.PRODUCT):
        for water in waters:
            total = product + water
            stronger = product * wanted.dilution.factor / total - 1
            limit = 0 if wanted.never_stronger else OFF
            if wanted.total_ml <= total <= wanted.most_ml and -OFF <= stronger <= limit:
                yield Pair(product, water, abs(stronger))


def is_best(made: Pair, among: Sequence[Pair], wanted: Fraction) -> bool:
    """The least of all, or nearer for up to a tenth more; exact where that costs no more."""
    least = min(one.total for one in among)
    exact = min((one.total for one in among if not one.off), default=None)
    if exact is not None and exact <= wanted * A_TENTH_MORE:
        return not made.off and made.total == exact
    return made.total == least or made.total <= wanted * A_TENTH_MORE


@given(
    kit=kits,
    total=st.integers(1, 300).map(lambda tenths: Fraction(tenths, 10)),
    parts=st.integers(0, 15),
    never_stronger=st.booleans(),
)
def test_no_pair_of_amounts_is_better(
    kit: Kit, total: Fraction, parts: int, *, never_stronger: bool
):
    dilution = Dilution(Decimal(1), Decimal(parts))
    wanted = Wanted(total, most_in_one(kit, dilution), dilution, never_stronger)
    every = list(pairs(wanted, kit))
    mix = measure(wanted, kit)
    assert (mix is None) == (not every)
    if mix is not None:
        product, water = Fraction(mix.product_ml), Fraction(mix.water_ml)
        off = abs(product * dilution.factor / (product + water) - 1)
        assert Pair(product, water, off) in every
        assert is_best(Pair(product, water, off), every, total)


@given(kit=kits, parts=st.integers(0, 15))
def test_the_most_in_one_pot_is_what_measures_and_pots_hold(kit: Kit, parts: int):
    dilution = Dilution(Decimal(1), Decimal(parts))
    most = max(amounts(kit, Liquid.PRODUCT)) * dilution.factor
    if parts:
        most = min(most, max(amounts(kit, Liquid.WATER)) * dilution.factor / parts)
    holds = max((Fraction(pot.capacity_ml) for pot in kit.pots), default=most)
    assert most_in_one(kit, dilution) == min(most, holds)
