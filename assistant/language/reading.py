"""Marks to a request: what one reading of an utterance asks for."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from assistant.dosing.condition import Condition
from assistant.dosing.quantities import grams, mass
from assistant.dosing.species import Species
from assistant.language.lexicon import Lexicon
from assistant.language.numerals import NumberProblem, is_number_word, value
from assistant.language.requests import (
    Bag,
    BatchSaid,
    CageSaid,
    DoseWanted,
    LookUp,
    MedicineSaid,
    Named,
    NeedleSaid,
    Plain,
    Request,
    Sought,
    TareSaid,
    UnitSaid,
    Unusual,
    VolumeGiven,
    VolumeSaid,
    Weight,
    WeightFixed,
)
from assistant.language.shaping import FOR_SOME
from assistant.language.tree import Mark, Marks, plain

_UNITS = ("g", "kg", "oz", "lb")
_SMALLER = {"g": ("kg", Decimal(1000)), "oz": ("lb", Decimal(16))}
"""Units that may follow a larger one, and how many of them make it up."""

_BAGS = {"gross": Bag.WITH, "net": Bag.WITHOUT}
_SOUGHT = frozenset(sought.value for sought in Sought)
_UNUSUAL = frozenset(unusual.value for unusual in Unusual)


class NoReading(ValueError):
    """Words that fit the grammar but make no sense, such as "Pepper the canary" for a cockatiel."""


def read_marks(marks: Marks, said: tuple[str, ...], lexicon: Lexicon) -> Request:
    """The request that these marks over these words make; raises NumberProblem or NoReading."""
    marks = tuple(mark for mark in marks if mark.tag not in FOR_SOME)
    tags = [mark.tag for mark in marks]
    weights = _weights(marks, said)
    if "fix" in tags or "put_right" in tags:
        return _fixed(weights, tags)
    if sought := _SOUGHT.intersection(tags):
        return _looked_up(Sought(*sought), marks, said, lexicon)
    if "dose" in tags:
        return _dose(marks, said, weights, lexicon)
    if "unit" in tags:
        return UnitSaid(next(tag for tag in tags if tag in _UNITS))
    if "tare" in tags and "tare_which" not in tags:
        return TareSaid(weights[0] if weights else None)
    if "medicine_switch" in tags or "medicine_named" in tags:
        return MedicineSaid(_words(marks, said, "medicine"))
    if "needle_switch" in tags:
        return NeedleSaid(_words(marks, said, "needle_said"))
    if "cage" in tags:
        return _cage(marks, said)
    return _of_stock(marks, said, tags)


def _of_stock(marks: Marks, said: tuple[str, ...], tags: list[str]) -> Request:
    """What is said of the stock, or a request that needs no more than its kind."""
    if "batch" in tags:
        return BatchSaid(_number(marks, said, "batch"))
    if "volume" in tags or "pot_holds" in tags:
        return VolumeSaid(_volume(marks, said), of_pot="pot_holds" in tags)
    if "had_ml" in tags:
        return VolumeGiven("unclear", _volume(marks, said))
    return BatchSaid(None) if "no_batch" in tags else Plain(tags[-1])


def _fixed(weights: tuple[Weight, ...], tags: list[str]) -> WeightFixed:
    """The right weight, and the wrong one where both were said, in either order."""
    if "instead" not in tags:
        return WeightFixed(weights[-1])
    right, wrong = reversed(weights) if "rather" in tags else weights
    return WeightFixed(right, wrong)


def _looked_up(sought: Sought, marks: Marks, said: tuple[str, ...], lexicon: Lexicon) -> LookUp:
    tags = {mark.tag for mark in marks}
    in_cage = {"cage_number", "cage_named"} & tags
    return LookUp(
        sought,
        named=lexicon.birds(_words(marks, said, "bird")),
        cage=_cage(marks, said).name if in_cage else "",
        ml=_volume(marks, said) if "mils" in tags else None,
    )


def _cage(marks: Marks, said: tuple[str, ...]) -> CageSaid:
    """The cage by its number in figures, or by its name; raises NoReading for no cage."""
    tags = {mark.tag for mark in marks}
    birds = _number(marks, said, "birds_in") if "birds_in" in tags else None
    if birds == 0:
        raise NoReading("a cage without birds")
    named = "cage_named" in tags
    name = _words(marks, said, "cage_named") if named else str(_number(marks, said, "cage_number"))
    return CageSaid(name, birds)


def _number(marks: Marks, said: tuple[str, ...], tag: str) -> int:
    """A whole number; raises NoReading for another."""
    number = value(_words(marks, said, tag).split())
    if number != number.to_integral_value():
        raise NoReading("a batch or a cage has a whole number")
    return int(number)


def _volume(marks: Marks, said: tuple[str, ...]) -> Decimal:
    words = _words(marks, said, "mils")
    return value(words.split()) if words else Decimal(0)


def _dose(
    marks: Marks, said: tuple[str, ...], weights: tuple[Weight, ...], lexicon: Lexicon
) -> DoseWanted:
    tags = {mark.tag for mark in marks}
    spoken, kind = _words(marks, said, "bird"), _words(marks, said, "kind")
    named = lexicon.birds(spoken)
    if "next_one" in tags and weights[0].said == "one":
        raise NoReading("the next one, and not one gram")
    if spoken in lexicon.plurals and _is_counted(marks, weights):
        raise NoReading("a number before a plural counts birds")
    if kind:
        named = _of_kind(named, lexicon.birds(kind))
    if "colour" in tags and not all(_may_be_any_colour(one, lexicon) for one in named):
        raise NoReading("a colour that may be a part of another bird's name")
    corrected = "sorry" in tags
    unusual = next((Unusual(tag) for tag in sorted(tags & _UNUSUAL)), None)
    return DoseWanted(
        named=named,
        spoken=f"{spoken} {kind}".strip(),
        weights=weights[-1:] if corrected else weights,
        corrected=corrected,
        another="another" in tags,
        next_one="next_one" in tags,
        medicine=_words(marks, said, "medicine"),
        unusual=unusual,
        conditions=tuple(one for one in Condition if one.value in tags),
        sex=next((sex for sex in ("male", "female") if sex in tags), None),
        pair="pair" in tags,
    )


def _is_counted(marks: Marks, weights: tuple[Weight, ...]) -> bool:
    """Whether a number stands before the bird without a unit."""
    tags = [mark.tag for mark in marks]
    before = len(weights) > 0 and tags.index("weighed") < tags.index("bird")
    return before and is_number_word(weights[0].said.split()[-1])


def _of_kind(named: tuple[Named, ...], kinds: tuple[Named, ...]) -> tuple[Named, ...]:
    """The birds among `named` that are of one of these kinds, as in "Pepper the cockatiel"."""
    species = {kind.name for kind in kinds if isinstance(kind, Species)}
    kept = tuple(
        one for one in named if (one.name if isinstance(one, Species) else one.species) in species
    )
    if not kept:
        raise NoReading("a bird and a species that it is not")
    return kept


def _may_be_any_colour(one: Named, lexicon: Lexicon) -> bool:
    """Whether a colour before its name makes no other species of it: none of its names has one.

    "Blue budgie" is a budgerigar; a "blue macaw" may be blue and gold, a "black lory" no red one.
    """
    if not isinstance(one, Species):
        return False
    return lexicon.colours.isdisjoint(word for name in one.names for word in name.split())


def _words(marks: Marks, said: tuple[str, ...], tag: str) -> str:
    for mark in marks:
        if mark.tag == tag:
            return " ".join(plain(word) for word in said[mark.start : mark.end])
    return ""


def _weights(marks: Marks, said: tuple[str, ...]) -> tuple[Weight, ...]:
    """One weight for each 'weighed' mark; the marks inside it follow it, up to the next."""
    starts = [place for place, mark in enumerate(marks) if mark.tag == "weighed"]
    stretches = pairwise([*starts, len(marks)])
    return tuple(_weight(marks[start:end], said) for start, end in stretches)


def _weight(marks: Marks, said: tuple[str, ...]) -> Weight:
    end = marks[0].end
    inside = [mark for mark in marks if mark.end <= end]
    whole = next(mark for mark in inside if mark.tag == "weight")
    bag = next((_BAGS[mark.tag] for mark in inside if mark.tag in _BAGS), Bag.UNSAID)
    guessed = any(mark.tag == "about" for mark in inside)
    parts = _parts(inside, said)
    last = parts[-1]
    text = " ".join(said[whole.start : whole.end])
    if last.unit is None:
        # a bare whole number is grams; one written or said as a decimal leaves the unit open
        taken = None if _is_decimal(last.amount) else last.amount
        return Weight(text, last.amount, taken, bag, guessed)
    total = sum((in_grams(part.amount, part.unit) for part in parts if part.unit), Decimal(0))
    return Weight(text, last.amount, total, bag, guessed)


def _is_decimal(amount: Decimal) -> bool:
    return int(amount.as_tuple().exponent) < 0


@dataclass(frozen=True, slots=True)
class _Part:
    """A number with its unit, None where none was said; `pointed` is whether it has a point."""

    amount: Decimal
    unit: str | None
    pointed: bool = False


def _parts(inside: list[Mark], said: tuple[str, ...]) -> list[_Part]:
    parts: list[_Part] = []
    for mark in inside:
        words = [plain(word) for word in said[mark.start : mark.end]]
        if mark.tag == "n":
            pointed = any(word == "point" or "." in word for word in words)
            parts.append(_Part(value(words), None, pointed))
        elif mark.tag == "same":
            parts.append(_Part(value(["a", words[-1]]), parts[-1].unit))
        elif mark.tag == "tenth":
            parts[-1] = _tenth(parts[-1].amount)
        elif mark.tag in _UNITS:
            parts[-1] = _measured(parts, mark.tag, unsaid=not words)
    return parts


def _tenth(amount: Decimal) -> _Part:
    """The digit of "one kilo two", where it means one point two."""
    if _is_decimal(amount) or not 0 < amount < 10:  # noqa: PLR2004 - a single digit
        raise NumberProblem(f"{amount} is no single digit")
    return _Part(amount / 10, "kg")


def _measured(parts: list[_Part], unit: str, *, unsaid: bool) -> _Part:
    """The last number in its unit; a smaller unit left unsaid needs a number without a point."""
    amount = parts[-1].amount
    if len(parts) > 1:
        larger, most = _SMALLER[unit]
        if parts[-2].unit != larger or amount >= most:
            raise NumberProblem(f"{amount} {unit} after a {larger} is more than one more {larger}")
        if unsaid and parts[-1].pointed:
            raise NumberProblem(f"{amount} of an unsaid unit")
    return _Part(amount, unit)


def in_grams(amount: Decimal, unit: str) -> Decimal:
    """A weight in grams from a number and its unit: "g", "kg", "oz" or "lb"."""
    # grams are by far the most common and need no conversion
    return amount if unit == "g" or not amount else grams(mass(amount, unit))
