"""A reply in figures to words that any synthesiser reads in only one way."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from assistant.language.numerals import words

_UNITS = {
    "mL": ("millilitre", "millilitres"),
    "mg": ("milligram", "milligrams"),
    "mm": ("millimetre", "millimetres"),
    "kg": ("kilogram", "kilograms"),
    "g": ("gram", "grams"),
    "%": ("percent", "percent"),
}
_AMOUNT = re.compile(r"(?<![\w.])([0-9]+(?:\.[0-9]+)?)(?: ?(mL|mg|mm|kg|g|%)(?![A-Za-z]))?")
_UNIT_ALONE = re.compile(r"(?<![\w])(mL|mg|mm|kg)(?![A-Za-z])")
_SIGNS = {"×": " by ", "–": " to ", "“": "", "”": "", "…": "", "+": " and ", "/": " per "}


_SENTENCE = re.compile(r"\S.*?(?:[.?!](?= |$)|$)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Span:
    """Where a sentence lies in a text."""

    start: int
    end: int


def sentences(text: str) -> tuple[Span, ...]:
    """The sentences of a reply, each of which can be rendered by itself."""
    return tuple(Span(*found.span()) for found in _SENTENCE.finditer(text))


def speakable(text: str) -> str:
    """The text with every number and unit in words.

    "0.48 mL" becomes "zero point four eight millilitres".
    """
    text = _AMOUNT.sub(_amount, text)
    text = _UNIT_ALONE.sub(lambda found: _UNITS[found[1]][0], text)
    for sign, said in _SIGNS.items():
        text = text.replace(sign, said)
    return " ".join(text.split())


def _amount(found: re.Match[str]) -> str:
    number = Decimal(found[1])
    said = words(number)
    if found[2] is None:
        return said
    one, many = _UNITS[found[2]]
    return f"{said} {one if number == 1 else many}"
