"""Marks to a request: what one reading of an utterance asks for."""

from __future__ import annotations

from decimal import Decimal

from assistant.dosing.quantities import grams, mass
from assistant.language.lexicon import Lexicon
from assistant.language.numerals import is_whole, value
from assistant.language.requests import (
    Bag,
    DoseWanted,
    MedicineSaid,
    Plain,
    Request,
    TareSaid,
    Weight,
    WeightFixed,
)
from assistant.language.tree import Mark, Marks, plain

_UNITS = ("g", "kg", "oz", "lb")
_BAGS = {"gross": Bag.WITH, "net": Bag.WITHOUT}
_PASSED_OVER = frozenset({"typed"})


def read_marks(marks: Marks, said: tuple[str, ...], lexicon: Lexicon) -> Request:
    """The request that these marks over these words make; raises NumberProblem."""
    marks = tuple(mark for mark in marks if mark.tag not in _PASSED_OVER)
    tags = [mark.tag for mark in marks]
    weights = _weights(marks, said)
    if "fix" in tags:
        return WeightFixed(weights[-1])
    if "dose" in tags:
        return _dose(marks, said, weights, lexicon)
    if "tare" in tags and "tare_which" not in tags:
        return TareSaid(weights[0] if weights else None)
    if "medicine_switch" in tags or "medicine_named" in tags:
        return MedicineSaid(_words(marks, said, "medicine"))
    return Plain(tags[-1])


def _dose(
    marks: Marks, said: tuple[str, ...], weights: tuple[Weight, ...], lexicon: Lexicon
) -> DoseWanted:
    tags = {mark.tag for mark in marks}
    spoken = _words(marks, said, "bird")
    corrected = "sorry" in tags
    return DoseWanted(
        named=lexicon.birds(spoken) if spoken else (),
        spoken=spoken,
        weights=weights[-1:] if corrected else weights,
        corrected=corrected,
        another="another" in tags,
    )


def _words(marks: Marks, said: tuple[str, ...], tag: str) -> str:
    for mark in marks:
        if mark.tag == tag:
            return " ".join(plain(word) for word in said[mark.start : mark.end])
    return ""


def _weights(marks: Marks, said: tuple[str, ...]) -> tuple[Weight, ...]:
    """One weight for each 'weight' mark; the marks inside it follow it, up to the next."""
    weights: list[Weight] = []
    guessed = False
    inside: list[Mark] = []
    for mark in (*marks, Mark("end", 0, 0)):
        if mark.tag in ("weight", "end", "about") and inside:
            weights.append(_weight(inside, said, guessed=guessed))
            inside, guessed = [], False
        if mark.tag == "about":
            guessed = True
        elif mark.tag == "weight" or inside:
            inside.append(mark)
    return tuple(weights)


def _weight(marks: list[Mark], said: tuple[str, ...], *, guessed: bool) -> Weight:
    whole = marks[0]
    amount = Decimal(0)
    total = Decimal(0)
    open_amount: Decimal | None = None
    last_unit = "g"
    for mark in marks[1:]:
        words = said[mark.start : mark.end]
        if mark.tag == "n":
            open_amount = amount = value([plain(word) for word in words])
        elif mark.tag == "same":
            total += _grams(value(["a", words[-1]]), last_unit)
        elif mark.tag in _UNITS and open_amount is not None:
            total += _grams(open_amount, mark.tag)
            open_amount, last_unit = None, mark.tag
    bag = next((_BAGS[mark.tag] for mark in marks if mark.tag in _BAGS), Bag.UNSAID)
    text = " ".join(said[whole.start : whole.end])
    if open_amount is None:
        return Weight(text, amount, total, bag, guessed)
    in_grams = open_amount if is_whole(open_amount) else None
    return Weight(text, open_amount, in_grams, bag, guessed)


def _grams(amount: Decimal, unit: str) -> Decimal:
    # grams are by far the most common and need no conversion
    return amount if unit == "g" or not amount else grams(mass(amount, unit))
