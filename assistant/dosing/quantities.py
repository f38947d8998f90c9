"""Amounts with units: text in, exact numbers out.

All counting is in fractions: no conversion rounds.
"""

from __future__ import annotations

import re
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from assistant.dosing.units import UNITS, Quantity, measure


class Kind(StrEnum):
    """What an amount measures; the value is the way to write one, for a message."""

    MASS = "62 g"
    VOLUME = "0.5 mL"
    LENGTH = "75 mm"
    CONCENTRATION = "25 mg/mL"
    VOLUME_DOSE = "0.5 mL/kg"
    MASS_DOSE = "20 mg/kg"

    @property
    def meaning(self) -> str:
        """The kind in words, such as "a weight"."""
        return _MEANINGS[self]

    @property
    def unit(self) -> str:
        """The unit in which this kind is counted here, as the table of units writes it."""
        return _UNITS[self]


_MEANINGS = {
    Kind.MASS: "a weight",
    Kind.VOLUME: "a volume",
    Kind.LENGTH: "a length",
    Kind.CONCENTRATION: "a strength",
    Kind.VOLUME_DOSE: "a dose by volume",
    Kind.MASS_DOSE: "a dose by weight of active",
}
_UNITS = {
    Kind.MASS: "gram",
    Kind.VOLUME: "millilitre",
    Kind.LENGTH: "millimetre",
    Kind.CONCENTRATION: "milligram / millilitre",
    Kind.VOLUME_DOSE: "millilitre / kilogram",
    Kind.MASS_DOSE: "milligram / kilogram",
}

_LONGEST = 80
_NUMBER = r"[0-9]{1,15}(?:\.[0-9]{1,15})?|\.[0-9]{1,15}"
_UNIT = r"[A-Za-z]+(?: w/v)?|%(?: ?w/v)?"
_AMOUNT = re.compile(
    rf"(?P<top>{_NUMBER}) ?(?P<unit>{_UNIT})"
    rf"(?: ?(?:/|\bper\b) ?(?:(?P<bottom>{_NUMBER}) ?)?(?P<under>[A-Za-z]+))?"
)
_PERCENT = {"%", "% w/v", "%w/v", "percent", "percent w/v"}
_REFUSED = {
    "cc": "write mL, not cc",
    "ccs": "write mL, not cc",
    "iu": "doses in international units are not worked out here",
    "unit": "units are not millilitres",
    "units": "units are not millilitres",
    "u": "units are not millilitres",
    "drop": "drops differ from dropper to dropper; write mL",
    "drops": "drops differ from dropper to dropper; write mL",
    "μg": "write mcg",
    "ug": "write mcg",
}

_WRONG_SHAPES = (
    (re.compile(r"[-−]"), "it is below zero"),
    (re.compile(r"[+]?(?:nan|inf)", re.IGNORECASE), "it is not a number"),
    (re.compile(r"[0-9]+,[0-9]"), "write the decimals after a point, and no comma"),
    (re.compile(rf"(?:{_NUMBER})$"), "the unit is missing"),
)


class QuantityProblem(ValueError):
    """Text that is not the amount expected; the message is one sentence and names the text."""

    def __init__(self, text: str, expected: Kind, reason: str) -> None:
        shown = text if len(text) <= _LONGEST else text[:_LONGEST] + "…"
        super().__init__(f"“{shown}” is not {expected.meaning} such as {expected}: {reason}.")
        self.text = text
        self.expected = expected
        self.reason = reason


def parse(text: str, expected: Kind, *others: Kind) -> Quantity:
    """The amount written in `text`, of one of the kinds expected; raises QuantityProblem."""
    tidy = " ".join(text.split())
    found = _AMOUNT.fullmatch(tidy) if len(tidy) <= _LONGEST else None
    if found is None:
        raise QuantityProblem(text, expected, _why_not(tidy))
    numbers = [Fraction(found["top"]), Fraction(found["bottom"] or 1)]
    if 0 in numbers:
        raise QuantityProblem(text, expected, "zero is not an amount")
    amount = _times(numbers[0], found["unit"], text, expected)
    if found["under"]:
        amount = amount.per(_times(numbers[1], found["under"], text, expected))
    if not any(_is_of(amount, kind) for kind in (expected, *others)):
        raise QuantityProblem(text, expected, "the unit is of another kind")
    return amount


def kind_of(amount: Quantity) -> Kind:
    """The kind of an amount that `parse` or `mass` gave."""
    return next(kind for kind in Kind if _is_of(amount, kind))


def mass(amount: Decimal, unit: str) -> Quantity:
    """A weight from a number and its unit ("g", "kg", "lb", "oz"); raises QuantityProblem."""
    text = f"{amount} {unit}"
    if not amount.is_finite() or amount <= 0:
        raise QuantityProblem(text, Kind.MASS, "a weight is a number above zero")
    weight = _times(Fraction(amount), unit, text, Kind.MASS)
    if not _is_of(weight, Kind.MASS):
        raise QuantityProblem(text, Kind.MASS, "the unit is of another kind")
    return weight


def exact(amount: Quantity) -> Fraction:
    """The amount in the unit of its kind: g, mL, mm, mg/mL, mL/kg or mg/kg."""
    return _in(kind_of(amount), amount)


def grams(amount: Quantity) -> Decimal:
    """A weight in grams, exact."""
    return to_decimal(_in(Kind.MASS, amount))


def millilitres(amount: Quantity) -> Decimal:
    """A volume in millilitres, exact."""
    return to_decimal(_in(Kind.VOLUME, amount))


def to_decimal(value: Fraction, places: int | None = None) -> Decimal:
    """A fraction as a decimal: exact where it ends, else to 10 places; or to `places`."""
    if places is None:
        places = _places_needed(value)
    scaled = round(value * 10**places)
    # built from text: the arithmetic context would round a long number
    sign = "-" if scaled < 0 else ""
    digits = str(abs(scaled)).rjust(places, "0")
    return Decimal(f"{sign}{digits[: len(digits) - places]}.{digits[len(digits) - places :]}")


def decimal_text(value: Fraction | Decimal) -> str:
    """A number as plain text: leading zero, no exponent, no trailing zero (ISMP list)."""
    number = to_decimal(Fraction(value))
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def rounded_text(value: Fraction | Decimal, places: int = 2) -> str:
    """A number rounded for saying, as `decimal_text` writes it."""
    return decimal_text(to_decimal(Fraction(value), places))


def _places_needed(value: Fraction, most: int = 10) -> int:
    """How many decimals show the fraction exactly, or `most` where none do."""
    rest = value.denominator
    twos = fives = 0
    while rest % 2 == 0:
        rest, twos = rest // 2, twos + 1
    while rest % 5 == 0:
        rest, fives = rest // 5, fives + 1
    return max(twos, fives) if rest == 1 else most


def _times(number: Fraction, unit: str, text: str, expected: Kind) -> Quantity:
    """The number with its unit; raises QuantityProblem for a unit that is not ours."""
    if unit.casefold() in _REFUSED:
        raise QuantityProblem(text, expected, _REFUSED[unit.casefold()])
    name = "percent_weight_in_volume" if unit in _PERCENT else unit
    one = UNITS.get(name) or UNITS.get(name.removesuffix("s"))
    if one is None:
        raise QuantityProblem(text, expected, f"“{unit}” is not a unit known here")
    return one.times(number)


def _is_of(amount: Quantity, kind: Kind) -> bool:
    return amount.measures == measure(kind.unit).measures


def _in(kind: Kind, amount: Quantity) -> Fraction:
    return amount.value / measure(kind.unit).value


def _why_not(tidy: str) -> str:
    """What is wrong with text that has not even the shape of an amount."""
    if not tidy or len(tidy) > _LONGEST:
        return "it is too long" if tidy else "it is empty"
    refused = next((word for word in tidy.split() if word.casefold() in _REFUSED), None)
    if refused:
        return _REFUSED[refused.casefold()]
    wrong = (reason for shape, reason in _WRONG_SHAPES if shape.match(tidy))
    return next(wrong, "it needs a plain number and a unit")
