"""The dose once more, from the definitions alone: plain text in, plain text out, fractions between.

Written beside the package, not from it, and importing nothing of it, so that a slip in one is no
slip in the other.  Everything is measured in grams, millilitres and millimetres.

    label's dose     mL of neat product per kg of bird, or mg per kg with mg per mL of product
    dilution         parts product + parts water; the dose grows by (product + water) / product
    syringe          a row of marks from 0 to what it holds; the nearest is read, of two as near the
                     lower; where the label's dose is a most, the last mark not above it
    needle           bore² × π / 4 × length, to a tenth of a microlitre, and 0.05 mL for the hub
    usual weight     0.7 × the least to 1.5 × the most; below 0.4 × or above 3 × is no weight
    crop             a quarter of 50 mL for each kg
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

PI = Fraction("3.14159265358979")
HUB_ML = Fraction("0.05")

GAUGES = """8 3.429, 9 2.997, 10 2.692, 11 2.388, 12 2.159, 13 1.803, 14 1.600, 15 1.372, 16 1.194,
17 1.067, 18 0.838, 19 0.686, 20 0.603, 21 0.514, 22 0.413, 23 0.337, 24 0.311"""
"""Nominal bore of regular-wall tube by Stubs gauge: a comparison table in an encyclopedia."""

BORE_MM = {int(gauge): bore for gauge, bore in (one.split() for one in GAUGES.split(","))}

GRAMS = {
    "g": Fraction(1),
    "kg": Fraction(1000),
    "oz": Fraction("28.349523125"),
    "lb": Fraction("453.59237"),
}
"""NIST SP 811, appendix B, exact by definition (from memory)."""


@dataclass(frozen=True)
class Case:
    """One bird, as texts: what the label says, what the scale shows, what is at hand.

    `syringes` are (what it holds, between two marks); `current` is the one in use, by its place.
    """

    dose: str
    dose_unit: str
    strength: str
    product: str
    water: str
    maximum: bool
    multiple: str
    low_g: str
    high_g: str
    weight: str
    unit: str
    scale_g: str
    syringes: tuple[tuple[str, str], ...]
    current: int | None
    limit_percent: str
    gauge: int
    length_mm: str
    full: bool


@dataclass(frozen=True)
class Answer:
    """What to give and to draw in mL, on which syringe; or, with a reason, nothing."""

    refused: str = ""
    exact: Fraction = Fraction(0)
    give: Fraction = Fraction(0)
    draw: Fraction = Fraction(0)
    syringe: int = -1


def answer(case: Case) -> Answer:
    """The dose, or the first reason against it."""
    grams = Fraction(case.weight) * GRAMS[case.unit]
    low, high, scale = Fraction(case.low_g), Fraction(case.high_g), Fraction(case.scale_g)
    if grams * 10 < low * 4 or grams > high * 3 or grams < scale:
        return Answer("weight")
    exact = working_ml(case, grams)
    crop_ml = grams / 1000 * 50 / 4
    if exact > crop_ml:
        return Answer("crop")
    place = choose(case, exact)
    if place < 0:
        return Answer("too_big")
    step = Fraction(case.syringes[place][1])
    give = read(exact, step, down=case.maximum)
    if give == 0:
        return Answer("too_small")
    if give > exact + (0 if case.maximum else step / 2):
        return Answer("overdose")
    if give > working_ml(case, grams - scale / 2) * Fraction(case.multiple):
        return Answer("margin")
    if give > crop_ml:
        return Answer("crop")
    return Answer("", exact, give, up(give + swallowed(case), step), place)


def working_ml(case: Case, grams: Fraction) -> Fraction:
    """The made-up dilution that holds the label's dose for so many grams."""
    neat_ml = Fraction(case.dose) * grams / 1000
    if case.dose_unit == "mg/kg":
        neat_ml /= Fraction(case.strength)
    return neat_ml + neat_ml / Fraction(case.product) * Fraction(case.water)


def read(exact: Fraction, step: Fraction, *, down: bool) -> Fraction:
    """The mark to stop at."""
    below = exact // step * step
    above = below + step
    return above if not down and above - exact < exact - below else below


def up(exact: Fraction, step: Fraction) -> Fraction:
    """The first mark that is not below."""
    below = exact // step * step
    return below if below == exact else below + step


def swallowed(case: Case) -> Fraction:
    """What the needle takes up before anything comes out of it."""
    if case.full:
        return Fraction(0)
    bore = Fraction(BORE_MM[case.gauge])
    tenths = PI * bore * bore / 4 * Fraction(case.length_mm) / 1000 * 10_000
    return Fraction(int(tenths + Fraction(1, 2)), 10_000) + HUB_ML


def choose(case: Case, exact: Fraction) -> int:
    """The place of the syringe to take, below 0 where none holds it.

    The one in use if it holds the draw and reads it closely enough; else the smallest such; else
    of those that hold it the one that reads it best.  Of equals the smaller, then the finer.
    """
    holding: dict[int, Fraction] = {}
    for place, (holds, between) in enumerate(case.syringes):
        step = Fraction(between)
        mark = read(exact, step, down=case.maximum)
        if up(mark + swallowed(case), step) <= Fraction(holds):
            holding[place] = abs(mark - exact) * 100 / exact
    close = [one for one, off in holding.items() if off <= Fraction(case.limit_percent)]
    size = {one: tuple(map(Fraction, sizes)) for one, sizes in enumerate(case.syringes)}
    if case.current in close:
        return case.current
    if close:
        return min(close, key=size.__getitem__)
    return min(holding, key=lambda one: (holding[one], *size[one]), default=-1)
