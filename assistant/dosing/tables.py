"""Reading a keeper's table: every value checked, every problem kept, none of them fatal at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

from assistant.dosing.quantities import Kind, QuantityProblem, exact, kind_of, parse, to_decimal
from assistant.errors import DataProblem

_Value = TypeVar("_Value")
_Choice = TypeVar("_Choice", bound=StrEnum)

_CLOSE_ENOUGH = 60
_SHOWN = 40


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a keeper's file: where, what, and what to do about it."""

    place: str
    what: str
    remedy: str = ""


class FigureProblems(DataProblem):
    """Everything wrong in one table of a keeper's file."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        remedies = dict.fromkeys(one.remedy for one in problems if one.remedy)
        super().__init__(
            "\n".join(f"{one.place}: {one.what.rstrip('.')}." for one in problems),
            "\n".join(remedies) or "Correct it there, then try again.",
        )
        self.problems = tuple(problems)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like `word`, or None where none is like it."""
    from rapidfuzz import fuzz, process  # noqa: PLC0415 - only a mistake in a file needs it

    # the whole word first: a long key may hold something like a short one, as one a part of it
    for scorer in (fuzz.ratio, fuzz.WRatio):
        found = process.extractOne(word, list(known), scorer=scorer, score_cutoff=_CLOSE_ENOUGH)
        if found:
            return found[0]
    return None


def shown(value: object) -> str:
    """A value from a file, cut to a length that can be read; a sign that prints nothing is �."""
    text = "".join(sign if sign.isprintable() else "�" for sign in str(value)[: _SHOWN + 1])
    return f"“{text}”" if len(text) <= _SHOWN else f"“{text[:_SHOWN]}…”"


@dataclass(slots=True)
class Table:
    """One table of a file, giving out checked values and keeping the problems met on the way.

    A value that is missing or wrong comes back as None, with its problem kept.
    """

    content: Mapping[str, object]
    place: str
    problems: list[Problem] = field(default_factory=list)

    def wrong(self, key: str, what: str, remedy: str = "") -> None:
        """Keep a problem with the value of `key`."""
        self.problems.append(Problem(f"{self.place}, {key}", what, remedy))

    def allow_only(self, known: Sequence[str]) -> None:
        """Keep a problem for every key that is not known, with the nearest one that is."""
        for key in self.content:
            if key not in known:
                near = nearest(key, known)
                remedy = f"Did you mean “{near}”?" if near else f"Keys: {', '.join(known)}."
                self.wrong(key, f"the key {shown(key)} is not known", remedy)

    def missing(self, key: str, *, needed: bool) -> bool:
        """Whether the key is absent; keeps a problem if it is needed."""
        if key in self.content:
            return False
        if needed:
            self.wrong(key, "is missing", f"Add a line that starts with {key} =")
        return True

    def text(self, key: str, *, needed: bool = False) -> str | None:
        """A text that is not empty."""
        if self.missing(key, needed=needed):
            return None
        value = self.content[key]
        if isinstance(value, str) and value.strip():
            return str(value).strip()
        self.wrong(key, f"{shown(value)} is not a text", "Write it between quotation marks.")
        return None

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts, or none of them."""
        value = self.content.get(key, [])
        if isinstance(value, list) and all(isinstance(one, str) and one.strip() for one in value):
            return tuple(str(one).strip() for one in value)
        self.wrong(key, f"{shown(value)} is not a list of texts", 'Write ["one", "two"].')
        return ()

    def choice(self, key: str, options: type[_Choice], default: _Choice) -> _Choice:
        """One of a few words, or the default where the key is absent."""
        if key not in self.content:
            return default
        value = self.content[key]
        word = value.strip().casefold() if isinstance(value, str) else ""
        if word in set(options):
            return options(word)
        known = " or ".join(f'"{option}"' for option in options)
        self.wrong(key, f"{shown(value)} is not a word that can stand here", f"Write {known}.")
        return default

    def flag(self, key: str, *, default: bool = False) -> bool:
        """True or false."""
        value = self.content.get(key, default)
        if isinstance(value, bool):
            return value
        self.wrong(key, f"{shown(value)} is neither true nor false", "Write true or false.")
        return default

    def number(self, key: str, *, needed: bool = False, zero: bool = False) -> Decimal | None:
        """A plain number above zero, or also zero."""
        if self.missing(key, needed=needed):
            return None
        number = plain_number(self.content[key])
        if number is not None and (number > 0 or (zero and number == 0)):
            return number
        least = "zero or above" if zero else "above zero"
        self.wrong(key, f"{shown(self.content[key])} is not a number {least}")
        return None

    def whole(self, key: str, *, needed: bool = False) -> int | None:
        """A whole number above zero."""
        number = self.number(key, needed=needed)
        if number is None or number == int(number):
            return None if number is None else int(number)
        self.wrong(key, f"{shown(number)} is not a whole number")
        return None

    def amount(self, key: str, *kinds: Kind, needed: bool = False) -> tuple[Kind, Fraction] | None:
        """An amount with its unit, as its kind and its exact number in the unit of that kind."""
        if self.missing(key, needed=needed):
            return None
        value = self.content[key]
        if not isinstance(value, str):
            remedy = f'Write it with its unit, as in {key} = "{kinds[0]}".'
            self.wrong(key, f"{shown(value)} has no unit", remedy)
            return None
        try:
            amount = parse(value, *kinds)
        except QuantityProblem as problem:
            self.wrong(key, str(problem).removesuffix("."))
            return None
        return kind_of(amount), exact(amount)

    def size(self, key: str, kind: Kind, *, needed: bool = False) -> Decimal | None:
        """An amount with its unit, as a decimal in the unit of its kind."""
        found = self.amount(key, kind, needed=needed)
        return None if found is None else to_decimal(found[1])

    def inner(self, key: str) -> Table | None:
        """A table inside this one, sharing its problems."""
        if key not in self.content:
            return None
        value = self.content[key]
        if isinstance(value, Mapping):
            return Table(value, f"{self.place}, {key}", self.problems)
        self.wrong(key, f"{shown(value)} is not a table")
        return None

    def rows(self, key: str) -> tuple[Table, ...]:
        """A list of tables inside this one, each with its number, sharing its problems."""
        value = self.content.get(key, [])
        if not isinstance(value, list) or not all(isinstance(row, Mapping) for row in value):
            self.wrong(key, f"{shown(value)} is not a list of tables", f"Write [[{key}]].")
            return ()
        return tuple(
            Table(row, f"{self.place}, {key} {count}", self.problems)
            for count, row in enumerate(value, start=1)
        )

    def finish(self) -> None:
        """Raise FigureProblems with every problem kept, if there is any."""
        if self.problems:
            raise FigureProblems(self.problems)


def present(value: _Value | None) -> _Value:
    """A value that `finish` has already proved to be there; raises TypeError if it did not."""
    if value is None:
        raise TypeError("A needed value is missing without a problem kept for it.")
    return value


def plain_number(value: object) -> Decimal | None:
    """A number from a file as a finite decimal, or None; truth values are no numbers."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        return None
    try:
        # through its text: a float read from "0.1" means that text, not its binary neighbour
        number = Decimal(str(value))
    except InvalidOperation:
        return None
    return number if number.is_finite() else None
