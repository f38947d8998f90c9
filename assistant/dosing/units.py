"""The units a keeper may write, counted in fractions.

The table is in pint's notation, and the tests let pint read it too; here a few lines do, since
importing pint took a third of the time to an answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

TABLE: Final = """\
gram = [mass] = g = gramme
kilogram = 1000 * gram = kg = kilo
milligram = 0.001 * gram = mg
microgram = 0.000001 * gram = mcg
pound = 453.59237 * gram = lb
ounce = 28.349523125 * gram = oz

millilitre = [volume] = mL = ml = milliliter
litre = 1000 * millilitre = L = l = liter

millimetre = [length] = mm = millimeter
centimetre = 10 * millimetre = cm = centimeter
inch = 25.4 * millimetre = in = inches

percent_weight_in_volume = 10 * milligram / millilitre
"""
"""The units, and nothing else.  Case matters: ML and Mg are other units.

Pound and ounce are exact by definition (NIST SP 811, appendix B).  Percent is weight in volume: 1 %
is 1 g in 100 mL.
"""


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount in grams, millilitres and millimetres, and what it measures.

    ("mass", "volume") is mass per volume.  A mass per mass keeps both, since milligrams per
    kilogram are not millilitres per litre.
    """

    value: Fraction
    measures: tuple[str, ...]

    def times(self, number: Fraction) -> Quantity:
        """So many of it."""
        return Quantity(self.value * number, self.measures)

    def per(self, other: Quantity) -> Quantity:
        """This much for each of that."""
        return Quantity(self.value / other.value, self.measures + other.measures)


def measure(text: str) -> Quantity:
    """One of a unit such as "gram" or "milligram / kilogram"."""
    return _meaning(text, UNITS)


def read(table: str) -> Mapping[str, Quantity]:
    """What each name in a table like the one above stands for; a unit needs those it is made of."""
    known: dict[str, Quantity] = {}
    for name, meaning, *others in _definitions(table):
        known |= dict.fromkeys((name, *others), _meaning(meaning, known))
    return known


def _definitions(table: str) -> Iterator[list[str]]:
    for line in filter(None, table.splitlines()):
        yield line.split(" = ")


def _meaning(text: str, known: Mapping[str, Quantity]) -> Quantity:
    """What `[dimension]`, `unit`, `number * unit` or one of these ` / unit` stands for."""
    if text.startswith("["):
        return Quantity(Fraction(1), (text.strip("[]"),))
    top, _, under = text.partition(" / ")
    number, _, unit = top.rpartition(" * ")
    one = known[unit].times(Fraction(number or 1))
    return one.per(known[under]) if under else one


UNITS: Final = read(TABLE)
"""What one of each unit is, by every name of it."""
