"""What product and water are measured with when a pot is made up: pots with marks, and pumps."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from assistant.dosing.quantities import decimal_text


class NeedleChange(StrEnum):
    """When a clean, dry needle is fitted, and so has to be primed again."""

    ROUND = "round"
    CAGE = "cage"
    BIRD = "bird"


class Liquid(StrEnum):
    """What goes into a pot."""

    PRODUCT = "product"
    WATER = "water"


@dataclass(frozen=True, slots=True)
class Pot:
    """A pot to make stock up in: what it holds and, if it has marks, mL from one to the next.

    Raises ValueError for what is no pot.
    """

    capacity_ml: Decimal
    graduation_ml: Decimal | None = None

    def __post_init__(self) -> None:
        """Refuse what is no pot."""
        for size in (self.capacity_ml, self.graduation_ml):
            if size is not None and not (size.is_finite() and size > 0):
                raise ValueError("A pot's sizes are numbers of mL above zero.")
        mark = self.graduation_ml
        if mark and (Fraction(self.capacity_ml) / Fraction(mark)).denominator != 1:
            raise ValueError(
                f"A {self.name} cannot be marked every {decimal_text(mark)} mL: "
                f"no mark would stand at {decimal_text(self.capacity_ml)} mL."
            )

    @property
    def name(self) -> str:
        """The pot as a keeper calls it, such as "100 mL pot"."""
        return f"{decimal_text(self.capacity_ml)} mL pot"


@dataclass(frozen=True, slots=True)
class Pump:
    """A pump on a bottle, by what one full stroke gives, in mL, and on which bottle it is.

    Raises ValueError for a stroke that gives nothing.
    """

    stroke_ml: Decimal
    of: Liquid

    def __post_init__(self) -> None:
        """Refuse what is no pump."""
        if not (self.stroke_ml.is_finite() and self.stroke_ml > 0):
            raise ValueError("A pump gives a number of mL above zero at each stroke.")

    @property
    def name(self) -> str:
        """The pump as a keeper calls it, such as "pump of 2 mL a stroke"."""
        return f"pump of {decimal_text(self.stroke_ml)} mL a stroke"
