"""Syringes: what one can show, and which one to take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from assistant.dosing.quantities import decimal_text


class Fitting(StrEnum):
    """How a needle sits on a syringe: turned until it locks, or only pushed on."""

    LOCK = "lock"
    SLIP = "slip"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Syringe:
    """A syringe by what it holds and the volume between two of its marks, in mL.

    Raises ValueError for a syringe whose scale does not end on a mark.
    """

    capacity_ml: Decimal
    graduation_ml: Decimal
    fitting: Fitting = Fitting.UNKNOWN

    def __post_init__(self) -> None:
        """Refuse what is no syringe."""
        for size in (self.capacity_ml, self.graduation_ml):
            if not size.is_finite() or size <= 0:
                raise ValueError("A syringe's sizes are numbers of mL above zero.")
        if (Fraction(self.capacity_ml) / Fraction(self.graduation_ml)).denominator != 1:
            raise ValueError(
                f"A {self.name} cannot be marked every {decimal_text(self.graduation_ml)} mL: "
                "no mark would stand at "
                f"{decimal_text(self.capacity_ml)} mL."
            )

    @property
    def name(self) -> str:
        """The syringe as a keeper calls it, such as "2.5 mL syringe"."""
        return f"{decimal_text(self.capacity_ml)} mL syringe"

    def read(self, exact: Fraction, *, down: bool = False) -> Decimal:
        """The mark nearest to `exact` mL, or with `down` the last mark not above it."""
        volume, mark = self._in_whole_numbers(exact)
        marks, over = divmod(volume, mark)
        # a tie goes down: of two equally near marks, the lower cannot be an overdose
        if not down and over * 2 > mark:
            marks += 1
        return marks * self.graduation_ml

    def mark_above(self, exact: Fraction) -> Decimal:
        """The first mark not below `exact` mL, whether or not the syringe reaches it."""
        volume, mark = self._in_whole_numbers(exact)
        return -(-volume // mark) * self.graduation_ml

    def _in_whole_numbers(self, exact: Fraction) -> tuple[int, int]:
        """The volume and a graduation, both in one small unit: fractions are slow to divide."""
        top, bottom = self.graduation_ml.as_integer_ratio()
        return exact.numerator * bottom, exact.denominator * top

    def tolerance_ml(self, expelled_ml: Decimal) -> Decimal:
        """The error a syringe of this size may have at `expelled_ml`, in mL, either way.

        For information only, never a limit: ISO 7886-1:1993 table 1, from memory.
        """
        small = self.capacity_ml < 5  # noqa: PLR2004 - where the table changes, in mL
        if expelled_ml * 2 >= self.capacity_ml:
            return expelled_ml * (Decimal("0.05") if small else Decimal("0.04"))
        share = Decimal("0.02") if small else Decimal("0.01")
        return self.capacity_ml * Decimal("0.015") + expelled_ml * share


@dataclass(frozen=True, slots=True)
class Draw:
    """What a syringe is wanted for: the exact volume, and the headroom to fill a needle, in mL."""

    exact_ml: Fraction
    headroom_ml: Fraction = Fraction(0)
    down: bool = False

    def fits(self, syringe: Syringe) -> bool:
        """Whether the syringe can draw the dose it would show, and the headroom on top."""
        dose = Fraction(syringe.read(self.exact_ml, down=self.down))
        return syringe.mark_above(dose + self.headroom_ml) <= syringe.capacity_ml

    def error_percent(self, syringe: Syringe) -> Fraction:
        """How far the syringe's mark is from the exact volume, in percent, without sign."""
        top, bottom = syringe.read(self.exact_ml, down=self.down).as_integer_ratio()
        exact = self.exact_ml.numerator * bottom
        return Fraction(100 * abs(top * self.exact_ml.denominator - exact), exact)


def choose(
    syringes: Sequence[Syringe], draw: Draw, current: Syringe | None, limit_percent: Decimal
) -> Syringe | None:
    """The syringe to take: the current one while it will do, else the smallest that does.

    One that will do holds the draw and reads it within the limit.  Where none reads it so, the one
    that holds it with the smallest error; None where none holds it.  Of equals the smaller, then
    the finer.
    """
    limit = Fraction(limit_percent)

    def reads(one: Syringe) -> bool:
        return draw.error_percent(one) <= limit

    if current is not None and current in syringes and draw.fits(current) and reads(current):
        return current
    able = []
    for one in sorted(syringes, key=lambda one: (one.capacity_ml, one.graduation_ml)):
        if draw.fits(one):
            if reads(one):
                return one
            able.append(one)
    return min(able, key=lambda one: (draw.error_percent(one), one.capacity_ml), default=None)
