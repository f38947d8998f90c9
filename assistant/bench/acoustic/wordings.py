"""Weights in the ways that keepers say them: grams in, words out, or None where a way cannot."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

from assistant.language.numerals import DIGITS, TEENS, TENS

_ONES = ("", *DIGITS)
_TEN, _TWENTY, _HUNDRED, _THOUSAND = 10, 20, 100, 1000
_GRAMS_IN_OUNCE = Decimal("28.349523125")
"""International avoirdupois ounce: 1959 agreement, exact."""


def below_hundred(number: int) -> str:
    """A whole number from 1 to 99 in words."""
    tens, ones = divmod(number, 10)
    if tens == 0:
        return _ONES[ones]
    if tens == 1:
        return TEENS[ones]
    return f"{TENS[tens - 2]} {_ONES[ones]}".strip()


def whole_number(number: int, joint: str = "") -> str:
    """A whole number from 1 to 9999 in words, `joint` between hundreds and what follows."""
    thousands, rest = divmod(number, _THOUSAND)
    hundreds, rest = divmod(rest, _HUNDRED)
    words = [f"{_ONES[thousands]} thousand"] if thousands else []
    words += [f"{_ONES[hundreds]} hundred"] if hundreds else []
    if rest:
        words += [joint] if joint and words else []
        words.append(below_hundred(rest))
    return " ".join(words)


def _figures(figures: str) -> list[str]:
    return ["oh" if figure == "0" else _ONES[int(figure)] for figure in figures]


def _digits(grams: int) -> str | None:
    return " ".join(_figures(str(grams))) if grams >= _TEN else None


def _unsaid(grams: int) -> str | None:
    """Hundreds left unsaid: two sixty, twelve fifty."""
    hundreds, rest = divmod(grams, _HUNDRED)
    return (
        f"{below_hundred(hundreds)} {below_hundred(rest)}"
        if 0 < hundreds < _TWENTY and rest >= _TEN
        else None
    )


def _double(grams: int) -> str | None:
    """Two equal figures at the end said as one: one double five."""
    figures = str(grams)
    if grams < _TEN or figures[-1] != figures[-2]:
        return None
    return " ".join([*_figures(figures[:-2]), "double", *_figures(figures[-1])])


def _kilos(grams: int) -> str | None:
    """Kilograms to two places: one point two, nought point three five."""
    if grams < _HUNDRED or grams % _TEN:
        return None
    kilos, rest = divmod(grams, _THOUSAND)
    places = f"{rest:03d}".rstrip("0") or "0"
    return f"{_ONES[kilos] or 'nought'} point {' '.join(_figures(places))} kilos"


def _ounces(grams: int) -> str | None:
    """The nearest half ounce; the truth is what these words say, not the grams."""
    halves = round(Decimal(grams) / _GRAMS_IN_OUNCE * 2)
    whole, half = divmod(halves, 2)
    if not 1 <= whole < _HUNDRED:
        return None
    if half:
        return f"{below_hundred(whole)} and a half ounces"
    return f"{below_hundred(whole)} ounces" if whole > 1 else "one ounce"


def _hundred_left(grams: int) -> str | None:
    """A hundred and five, where the hundred is one."""
    rest = grams - _HUNDRED
    return f"a hundred and {below_hundred(rest)}" if 0 < rest < _HUNDRED else None


def _small_part(grams: int, part: str) -> str | None:
    return f"{below_hundred(grams)} {part} grams" if 0 < grams < _HUNDRED else None


STYLES: Mapping[str, Callable[[int], str | None]] = {
    "whole": lambda grams: f"{whole_number(grams)} grams",
    "bare": whole_number,
    "digits": _digits,
    "and": lambda grams: f"{whole_number(grams, 'and')} grams" if grams > _HUNDRED else None,
    "unsaid": _unsaid,
    "point": lambda grams: _small_part(grams, f"point {_ONES[1 + grams % 9]}"),
    "ounces": _ounces,
    "joined": _hundred_left,
    "hundreds": lambda grams: whole_number(grams, "and") if grams > _HUNDRED else None,
    "half": lambda grams: _small_part(grams, "and a half"),
    "kilos": _kilos,
    "double": _double,
}
"""Each way of saying a weight by its name in parts.toml."""


def weight_words(grams: int, style: str) -> str | None:
    """The weight in this way, or None where it cannot be said so."""
    return STYLES[style](grams)
