"""Product and water in steps that the keeper's own measures can show.

Every volume that a measure can show is a whole number of its steps.  The search counts in the one
small unit in which they all are whole, so that it is exact and quick.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor, lcm

from assistant.dosing.dilution import Dilution
from assistant.dosing.kit import Kit
from assistant.dosing.measures import Liquid, Pot, Pump
from assistant.dosing.quantities import decimal_text
from assistant.dosing.syringe import Syringe
from assistant.stock.batch import MOST_OFF

Tool = Syringe | Pot | Pump

FILLS = 2
"""How often a syringe is filled for one amount, where a larger measure can take over."""

MOST_FILLS = 5
"""How often the largest syringe is, where a marked pot can take over."""

MANY = 40
"""How often a pump is pressed, or the largest measure filled where nothing can take over."""

WELL_READ = Decimal("0.1")
"""An amount is measured only where the measure itself errs by no more than this share of it: a
choice of our own, as a keeper's usual limit of 10 % for a dose."""

_CLOSE = (Fraction(0), MOST_OFF / 5, MOST_OFF / 2, MOST_OFF)
_WORTH = Fraction(11, 10)
"""For a strength nearer to the medicine's own, up to a tenth more is made up: our own choice."""

_TRIED = 250
"""How many amounts of product are looked at on one measure, from the least upwards."""


@dataclass(frozen=True, slots=True)
class Measured:
    """An amount on a measure: `volume_ml` in so many goes, `last_ml` being the last of them."""

    tool: Tool
    volume_ml: Decimal
    goes: int
    last_ml: Decimal

    @property
    def error_percent(self) -> Fraction | None:
        """How far syringes may be off by their standard, in percent; None for another measure."""
        if not isinstance(self.tool, Syringe):
            return None
        full = (self.goes - 1) * self.tool.tolerance_ml(self.tool.capacity_ml)
        off = full + self.tool.tolerance_ml(self.last_ml)
        return Fraction(off) / Fraction(self.volume_ml) * 100

    @property
    def said(self) -> str:
        """How it is measured, such as "the 10 mL syringe, once full and then to 2.5 mL"."""
        if isinstance(self.tool, Pump):
            strokes = "stroke" if self.goes == 1 else "strokes"
            return f"{self.goes} {strokes} of the {self.tool.name}"
        if self.goes == 1:
            return f"the {self.tool.name}, to {decimal_text(self.last_ml)} mL"
        full, times = self.goes - 1, {1: "once", 2: "twice"}
        if self.last_ml == self.tool.capacity_ml:
            return f"the {self.tool.name}, {times.get(self.goes, f'{self.goes} times')} full"
        how = times.get(full, f"{full} times")
        return f"the {self.tool.name}, {how} full and then to {decimal_text(self.last_ml)} mL"


@dataclass(frozen=True, slots=True)
class Mix:
    """What goes into one pot; `water` is None for a medicine given undiluted."""

    product: Measured
    water: Measured | None

    @property
    def product_ml(self) -> Decimal:
        """The product, in mL."""
        return self.product.volume_ml

    @property
    def water_ml(self) -> Decimal:
        """The water, in mL."""
        return self.water.volume_ml if self.water else Decimal(0)

    @property
    def total_ml(self) -> Decimal:
        """What it makes: volumes add up, near enough (common practice, no source)."""
        return self.product_ml + self.water_ml

    def percent_off(self, dilution: Dilution) -> Fraction:
        """How much stronger than the dilution it is, in percent; below zero is weaker."""
        made = Dilution(self.product_ml, self.water_ml)
        return (dilution.factor / made.factor - 1) * 100


@dataclass(frozen=True, slots=True)
class Wanted:
    """A pot of at least `total_ml`, at most `most_ml`, of this dilution.

    `never_stronger` is for a label that gives a most and no more.
    """

    total_ml: Fraction
    most_ml: Fraction
    dilution: Dilution
    never_stronger: bool = False


@dataclass(frozen=True, slots=True)
class _Scale:
    """A measure in the small unit: its step, what it holds, and the least and most in all."""

    tool: Tool
    step: int
    holds: int
    least: int
    most: int

    def goes(self, volume: int) -> int:
        return -(-volume // self.holds)


@dataclass(frozen=True, slots=True)
class _Found:
    """A pair of amounts in the small unit; `off` is how far the strength is from the dilution's."""

    off: Fraction
    total: int
    product: tuple[_Scale, int]
    water: tuple[_Scale, int] | None

    @property
    def trouble(self) -> tuple[int, int]:
        """How often something is filled, and how large the measures are: a smaller errs less."""
        amounts = [self.product, self.water] if self.water else [self.product]
        goes = sum(scale.goes(volume) for scale, volume in amounts)
        return goes, sum(scale.holds for scale, _ in amounts)


def measure(wanted: Wanted, kit: Kit) -> Mix | None:
    """The amounts to measure, or None where the kit cannot show any that will do.

    The least total that is enough and within MOST_OFF of the strength; up to a tenth more where
    that brings the strength nearer.  More wanted never makes less.
    """
    unit = _small_unit(kit)
    found = list(_candidates(wanted, kit, unit))
    if not found:
        return None
    best = _choose(found, wanted.total_ml * unit)
    product = _measured(*best.product, unit)
    return Mix(product, _measured(*best.water, unit) if best.water else None)


def most_in_one(kit: Kit, dilution: Dilution) -> Fraction:
    """The most that can be made up at once, in mL: what can be measured, and what a pot holds."""
    unit = _small_unit(kit)
    product = max(one.most for one in _scales(kit, Liquid.PRODUCT, unit))
    most = Fraction(product, unit) * dilution.factor
    if dilution.water:
        water = max(one.most for one in _scales(kit, Liquid.WATER, unit))
        most = min(most, Fraction(water, unit) * dilution.factor / (dilution.factor - 1))
    largest = max((Fraction(pot.capacity_ml) for pot in kit.pots), default=most)
    return min(most, largest)


def _choose(found: Sequence[_Found], total: Fraction) -> _Found:
    """The nearest strength that costs no more than a tenth more; within it the least made up."""
    for close in _CLOSE:
        near = [one for one in found if one.off <= close]
        best = min(near, key=_cost, default=None)
        if best and best.total <= total * _WORTH:
            return best
    return min(found, key=_cost)


def _cost(found: _Found) -> tuple[object, ...]:
    return found.total, *found.trouble, found.off


def _candidates(wanted: Wanted, kit: Kit, unit: int) -> Iterator[_Found]:
    """Every pair of amounts worth a look."""
    parts = wanted.dilution.factor
    least, most = ceil(wanted.total_ml * unit), floor(wanted.most_ml * unit)
    waters = _scales(kit, Liquid.WATER, unit) if wanted.dilution.water else []
    for scale in _scales(kit, Liquid.PRODUCT, unit):
        for product in _amounts(scale, least * (1 - MOST_OFF) / parts):
            whole = product * parts
            if not waters and least <= product <= most:
                yield _Found(Fraction(0), product, (scale, product), None)
            weakest = floor(whole / (1 - MOST_OFF))
            strongest = ceil(whole if wanted.never_stronger else whole / (1 + MOST_OFF))
            bounds = max(least, strongest) - product, min(most, weakest) - product
            for water_scale, water in _waters(waters, floor(whole) - product, bounds):
                total = product + water
                amounts = (scale, product), (water_scale, water)
                yield _Found(abs(whole / total - 1), total, *amounts)


def _amounts(scale: _Scale, least: Fraction) -> Iterator[int]:
    """Amounts that the measure shows, from the least upwards."""
    first = max(scale.least, ceil(least / scale.step) * scale.step)
    last = min(scale.most, first + scale.step * _TRIED)
    yield from range(first, last + 1, scale.step)


def _waters(
    scales: Sequence[_Scale], ideal: int, bounds: tuple[int, int]
) -> Iterator[tuple[_Scale, int]]:
    """On each measure the marks on both sides of the ideal amount, and the first that is enough."""
    least, most = bounds
    for scale in scales:
        below = ideal // scale.step * scale.step
        enough = -(-least // scale.step) * scale.step
        for water in {below, below + scale.step, enough}:
            if max(least, scale.least) <= water <= min(most, scale.most):
                yield scale, water


def _scales(kit: Kit, liquid: Liquid, unit: int) -> list[_Scale]:
    """The kit's measures for product or for water, the largest first."""
    marked: list[tuple[Syringe | Pot, Decimal]] = [
        *((pot, pot.graduation_ml) for pot in kit.pots if pot.graduation_ml),
        *((syringe, syringe.graduation_ml) for syringe in kit.syringes),
    ]
    pumps = [pump for pump in kit.pumps if pump.of is liquid]
    largest = max(one.capacity_ml for one in kit.syringes)
    most_fills = MOST_FILLS if pumps or len(marked) > len(kit.syringes) else MANY
    scales = []
    for tool, mark in marked:
        holds = int(tool.capacity_ml * unit)
        fills = most_fills if tool.capacity_ml >= largest else FILLS
        least = int(_least_read(tool, mark) * unit)
        scales.append(_Scale(tool, int(mark * unit), holds, least, holds * fills))
    for pump in pumps:
        stroke = int(pump.stroke_ml * unit)
        scales.append(_Scale(pump, stroke, stroke, stroke, stroke * MANY))
    return sorted(scales, key=lambda one: -one.holds)


def _least_read(tool: Syringe | Pot, mark: Decimal) -> Decimal:
    """The least amount that the measure shows well: by a syringe's standard, or half a pot's mark.

    A measure that never shows an amount so well shows none but its fill.
    """
    amount = mark
    while amount < tool.capacity_ml:
        error = tool.tolerance_ml(amount) if isinstance(tool, Syringe) else mark / 2
        if error <= amount * WELL_READ:
            return amount
        amount += mark
    return tool.capacity_ml


def _small_unit(kit: Kit) -> int:
    """How many of the small unit are in 1 mL, so that every step and size is a whole number."""
    sizes = [one.graduation_ml for one in kit.syringes] + [one.capacity_ml for one in kit.syringes]
    sizes += [size for pot in kit.pots for size in (pot.graduation_ml, pot.capacity_ml) if size]
    sizes += [pump.stroke_ml for pump in kit.pumps]
    return lcm(*(Fraction(size).denominator for size in sizes))


def _measured(scale: _Scale, volume: int, unit: int) -> Measured:
    goes = scale.goes(volume)
    last = volume - (goes - 1) * scale.holds
    return Measured(scale.tool, _ml(volume, unit), goes, _ml(last, unit))


def _ml(volume: int, unit: int) -> Decimal:
    return Decimal(volume) / Decimal(unit)
