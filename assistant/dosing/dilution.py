"""A dilution as parts of product and parts of water, so that "1 in 10" is never "1 to 10"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from assistant.dosing.quantities import decimal_text

_NUMBER = r"([0-9]{1,6}(?:\.[0-9]{1,6})?)"
_PRODUCT = r"(?: ?(?:mL|ml|parts?))?(?: (?:of )?product)?"
_WATER = r"(?: ?(?:mL|ml|parts?))?(?: (?:of )?water)?"
_NEAT = {"neat", "undiluted"}
_ADDED = re.compile(rf"{_NUMBER}{_PRODUCT} ?(?:\+|and|to) ?{_NUMBER}{_WATER}")
_WHOLE = re.compile(rf"{_NUMBER}(?: parts?)? in {_NUMBER}(?: parts?)?")
_COLON = re.compile(rf"{_NUMBER} ?: ?{_NUMBER}")
_SHOWN = 60


class AmbiguousDilution(ValueError):
    """A dilution written with a colon, which print uses for both readings given here."""

    def __init__(self, text: str, readings: tuple[Dilution, Dilution]) -> None:
        whole, added = readings
        super().__init__(
            f"“{text}” is read in two ways: {whole.short}, that is {whole.parts}, "
            f"or {added.parts}, that is {added.short}."
        )
        self.readings = readings


@dataclass(frozen=True)
class Dilution:
    """Parts of product made up with parts of water; no water is the neat product.

    Raises ValueError for anything but numbers above zero (water may be zero).
    """

    product: Decimal
    water: Decimal

    def __post_init__(self) -> None:
        """Refuse what is no dilution."""
        if not (self.product.is_finite() and self.water.is_finite()):
            raise ValueError("The parts of a dilution are plain numbers.")
        if self.product <= 0 or self.water < 0:
            raise ValueError("A dilution has some product, and zero or more parts of water.")

    @classmethod
    def parse(cls, text: str) -> Dilution:
        """Read "1 + 9", "1 in 10" (1 + 9), "1 to 10" (1 + 10), parts in words, or "neat".

        Raises AmbiguousDilution for a colon and ValueError for anything else.
        """
        tidy = " ".join(text.split())
        if tidy.casefold() in _NEAT:
            return cls(Decimal(1), Decimal(0))
        if found := _ADDED.fullmatch(tidy):
            return cls(Decimal(found[1]), Decimal(found[2]))
        if found := _WHOLE.fullmatch(tidy):
            return cls._of_whole(found[1], found[2], text)
        if found := _COLON.fullmatch(tidy):
            added = cls(Decimal(found[1]), Decimal(found[2]))
            raise AmbiguousDilution(tidy, (cls._of_whole(found[1], found[2], text), added))
        raise _not_a_dilution(text)

    @classmethod
    def _of_whole(cls, product: str, whole: str, text: str) -> Dilution:
        """So many parts of product in so many parts in all."""
        if Decimal(product) > Decimal(whole):
            raise _not_a_dilution(text)
        return cls(Decimal(product), Decimal(whole) - Decimal(product))

    @property
    def whole(self) -> Decimal:
        """The parts in all."""
        return self.product + self.water

    @cached_property
    def factor(self) -> Fraction:
        """How many times the neat volume the working volume is."""
        return Fraction(self.whole) / Fraction(self.product)

    @property
    def parts(self) -> str:
        """Both parts in words, such as "1 part product and 9 parts water"."""
        if not self.water:
            return "undiluted product"
        return f"{_parts(self.product)} product and {_parts(self.water)} water"

    @property
    def short(self) -> str:
        """The share of product in few words, such as "1 in 10", or "undiluted"."""
        if not self.water:
            return "undiluted"
        if (self.factor * 100).denominator == 1:
            return f"1 in {decimal_text(self.factor)}"
        return f"{decimal_text(self.product)} in {decimal_text(self.whole)}"

    @property
    def said(self) -> str:
        """Both forms, such as "1 part product and 9 parts water, 1 in 10"."""
        return f"{self.parts}, {self.short}" if self.water else self.parts

    def product_for(self, total_ml: Decimal) -> Fraction:
        """The mL of product in `total_ml` of working dilution."""
        return Fraction(total_ml) / self.factor

    def water_for(self, total_ml: Decimal) -> Fraction:
        """The mL of water in `total_ml` of working dilution."""
        return Fraction(total_ml) - self.product_for(total_ml)


def _parts(count: Decimal) -> str:
    return f"{decimal_text(count)} {'part' if count == 1 else 'parts'}"


def _not_a_dilution(text: str) -> ValueError:
    shown = text if len(text) <= _SHOWN else text[:_SHOWN] + "…"
    return ValueError(f"“{shown}” is not a dilution such as 1 + 9, 1 in 10, or neat.")
