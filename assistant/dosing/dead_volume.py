"""What a needle holds, measured with water: by weighing it, or by drawing with a syringe."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from assistant.dosing.quantities import to_decimal

WATER_G_PER_ML = (
    (0, Decimal("0.9998395")),
    (4, Decimal("0.9999720")),
    (10, Decimal("0.9997026")),
    (15, Decimal("0.9991026")),
    (20, Decimal("0.9982071")),
    (22, Decimal("0.9977735")),
    (25, Decimal("0.9970479")),
    (30, Decimal("0.9956502")),
    (40, Decimal("0.9922")),
)
"""Density of water by its temperature in degrees Celsius: the table of "What Is the Density of
Water?", thoughtco.com; between two rows in a straight line."""

FEWEST_TRIES = 3
MOST_SPREAD = Fraction(1, 5)
"""Tries that differ by more than this share of their mean are not believed: our own choice."""

LARGEST_ML = Decimal(3)
"""Above this it was no crop needle that was measured: 8 gauge, 100 mm holds 0.97 mL."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """What several tries give, in mL, and how far they lie apart."""

    tries: tuple[Fraction, ...]

    @property
    def mean_ml(self) -> Decimal:
        """The mean, to three decimals."""
        return to_decimal(sum(self.tries, Fraction(0)) / len(self.tries), 3)

    @property
    def spread_ml(self) -> Decimal:
        """From the least to the most, to three decimals."""
        return to_decimal(max(self.tries) - min(self.tries), 3)

    @property
    def agrees(self) -> bool:
        """Whether the tries are enough, and near enough to each other, to be believed."""
        mean = sum(self.tries, Fraction(0)) / len(self.tries)
        near = max(self.tries) - min(self.tries) <= mean * MOST_SPREAD
        return len(self.tries) >= FEWEST_TRIES and near


def water_density(celsius: Decimal) -> Fraction:
    """Grams of water in a mL at this temperature; raises ValueError outside 0 to 40 degrees."""
    if not celsius.is_finite() or not 0 <= celsius <= WATER_G_PER_ML[-1][0]:
        raise ValueError("Water is used here between 0 and 40 degrees Celsius.")
    at = min(bisect_right(WATER_G_PER_ML, celsius, key=_degrees), len(WATER_G_PER_ML) - 1)
    (low, thick), (high, thin) = WATER_G_PER_ML[at - 1 : at + 1]
    share = (Fraction(celsius) - low) / (high - low)
    return Fraction(thick) + share * (Fraction(thin) - Fraction(thick))


def weighed(dry_g: Decimal, full_g: Decimal, celsius: Decimal) -> Fraction:
    """The mL of water that weigh the difference; raises ValueError where that is no needle."""
    if full_g <= dry_g:
        raise ValueError("Full of water it weighs more than dry.")
    return _plausible(Fraction(full_g - dry_g) / water_density(celsius))


def drawn(before_ml: Decimal, after_ml: Decimal) -> Fraction:
    """The mL that went into a dry needle until water stood at its tip; raises ValueError."""
    if after_ml >= before_ml:
        raise ValueError("Once the needle is full the plunger stands lower than before.")
    return _plausible(Fraction(before_ml - after_ml))


def mean_of(tries: Sequence[Fraction]) -> Measurement:
    """What the tries give together; raises ValueError for none."""
    if not tries:
        raise ValueError("There is no try yet.")
    return Measurement(tuple(tries))


def _plausible(volume_ml: Fraction) -> Fraction:
    if volume_ml > LARGEST_ML:
        raise ValueError("No crop needle holds that much. Check the figures.")
    return volume_ml


def _degrees(row: tuple[int, Decimal]) -> Decimal:
    return Decimal(row[0])
