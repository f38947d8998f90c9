"""Crop needles: what one holds, how far to draw, and what each mistake with it does."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from assistant.dosing.quantities import decimal_text, rounded_text, to_decimal
from assistant.dosing.syringe import Syringe

STUBS_BORE_MM = {
    8: Decimal("3.429"),
    9: Decimal("2.997"),
    10: Decimal("2.692"),
    11: Decimal("2.388"),
    12: Decimal("2.159"),
    13: Decimal("1.803"),
    14: Decimal("1.600"),
    15: Decimal("1.372"),
    16: Decimal("1.194"),
    17: Decimal("1.067"),
    18: Decimal("0.838"),
    19: Decimal("0.686"),
    20: Decimal("0.603"),
    21: Decimal("0.514"),
    22: Decimal("0.413"),
    23: Decimal("0.337"),
    24: Decimal("0.311"),
}
"""Nominal bore of regular-wall tube by Stubs gauge, in mm: a comparison table in an encyclopedia,
a convention and no standard."""

ISO_9626_MIN_BORE_MM = {
    10: Decimal("2.500"),
    11: Decimal("2.200"),
    12: Decimal("1.950"),
    13: Decimal("1.700"),
    14: Decimal("1.500"),
    15: Decimal("1.300"),
    16: Decimal("1.100"),
    17: Decimal("0.950"),
    18: Decimal("0.790"),
    19: Decimal("0.648"),
    20: Decimal("0.560"),
    21: Decimal("0.490"),
    22: Decimal("0.390"),
    23: Decimal("0.317"),
    24: Decimal("0.280"),
}
"""Least bore of normal-wall tube, in mm: ISO 9626:1991 table 1, from memory, so that no limit
rests on it."""

HUB_ML = Decimal("0.05")
"""Allowance for the hub, in mL.  Derived: a needle with its hub held 0.05 mL (21 and 23 gauge) to
0.07 mL (18 gauge) in a weighing study of dead space against ISO 7886-1:2018 (abstract), and the
bore is a small part of that."""

_PI = Decimal("3.14159265358979")
_BORE_STEP = Decimal("0.0001")


class NeedleState(StrEnum):
    """What is in the needle now."""

    DRY = "dry"
    FULL = "full"
    RINSED = "rinsed"
    UNKNOWN = "unknown"


def bore_ml(gauge: int, length_mm: Decimal) -> Decimal:
    """The volume of the nominal bore, in mL to 4 places, hub and tip left out."""
    return _cylinder_ml(STUBS_BORE_MM[gauge], length_mm)


def minimum_bore_ml(gauge: int, length_mm: Decimal) -> Decimal:
    """The volume of the least bore ISO 9626 allows (from memory), in mL to 4 places."""
    return _cylinder_ml(ISO_9626_MIN_BORE_MM[gauge], length_mm)


def _cylinder_ml(bore_mm: Decimal, length_mm: Decimal) -> Decimal:
    volume = _PI / 4 * bore_mm * bore_mm * length_mm / 1000
    return volume.quantize(_BORE_STEP, rounding=ROUND_HALF_UP)


@dataclass(frozen=True)
class Needle:
    """A needle by gauge and length; a dead volume the keeper measured stands above the table.

    `called` is the keeper's own word for it, as in "long needle"; without one it goes by its gauge.
    Raises ValueError for a gauge outside the table without a measured volume.
    """

    gauge: int
    length_mm: Decimal
    hub_ml: Decimal = HUB_ML
    measured_ml: Decimal | None = None
    called: str = ""

    def __post_init__(self) -> None:
        """Refuse what is no needle."""
        if not self.length_mm.is_finite() or self.length_mm <= 0:
            raise ValueError("A needle's length is a number of mm above zero.")
        if not self.hub_ml.is_finite() or self.hub_ml < 0:
            raise ValueError("What a needle's hub holds is not below zero.")
        if self.measured_ml is not None and not (
            self.measured_ml.is_finite() and self.measured_ml > 0
        ):
            raise ValueError("A measured needle holds a number of mL above zero.")
        if self.measured_ml is None and self.gauge not in STUBS_BORE_MM:
            raise ValueError(
                f"No bore is known for {self.gauge} gauge: measure what the needle holds."
            )

    @property
    def name(self) -> str:
        """The needle as a keeper calls it, such as "14 gauge, 75 mm"."""
        return f"{self.gauge} gauge, {decimal_text(self.length_mm)} mm"

    @cached_property
    def dead_ml(self) -> Decimal:
        """What the needle with its hub holds, in mL: measured, or bore and hub."""
        if self.measured_ml is not None:
            return self.measured_ml
        return bore_ml(self.gauge, self.length_mm) + self.hub_ml


@dataclass(frozen=True, slots=True)
class Mistake:
    """A mistake with the needle: how much medicine the bird gets, and how far off that is.

    `error_percent` is signed, to one decimal: below zero is too little.
    """

    name: str
    delivered_ml: Decimal
    error_percent: Decimal

    @property
    def said(self) -> str:
        """The mistake in one sentence, with its figures."""
        side = "too little" if self.error_percent < 0 else "too much"
        return (
            f"{self.name}: about {rounded_text(self.delivered_ml)} mL reaches the bird, "
            f"{decimal_text(abs(self.error_percent))} % {side}."
        )


def mistakes(dose_ml: Decimal, needle: Needle) -> tuple[Mistake, ...]:
    """What each mistake with the needle makes of a dose, in the order of the states."""
    lost = max(dose_ml - needle.dead_ml, Decimal(0))
    return (
        _mistake("Needle dry and not primed", lost, dose_ml),
        _mistake("Needle full, and filled past the mark again", dose_ml + needle.dead_ml, dose_ml),
        _mistake("Needle rinsed and still full of water", lost, dose_ml),
    )


def _mistake(name: str, delivered_ml: Decimal, dose_ml: Decimal) -> Mistake:
    error = (Fraction(delivered_ml) / Fraction(dose_ml) - 1) * 100
    return Mistake(name, delivered_ml, to_decimal(error, 1))


def draw_to(dose_ml: Decimal, needle: Needle, state: NeedleState, syringe: Syringe) -> Decimal:
    """The mark to draw to, in mL: the dose, and what a needle that is not full will swallow.

    A surplus is pushed out again through the needle, tip up, down to the mark of the dose.
    Raises ValueError for an unknown state, which has to be asked for.
    """
    if state is NeedleState.UNKNOWN:
        raise ValueError("How far to draw depends on what is in the needle.")
    if state is NeedleState.FULL:
        return dose_ml
    return syringe.mark_above(Fraction(dose_ml) + Fraction(needle.dead_ml))
