"""A list of birds in words: "thirty budgerigars, six galahs, a cockatiel of 95 grams"."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

from assistant.adapters.birds.cells import Cell, all_named, species_of, weight_of
from assistant.adapters.birds.table import MOST_BIRDS
from assistant.dosing.species import Aviary, Bird
from assistant.dosing.tables import FigureProblems, Problem, shown
from assistant.language.numerals import NumberProblem, value
from assistant.planning.birds import ListedBird

_LIKE: Final = "Write it as in: thirty budgerigars, six galahs"
_LONGEST: Final = 2_000
"""In letters; a longer list belongs into a file."""

_TOGETHER: Final = {"pair": 2, "pairs": 2, "dozen": 12}
_BETWEEN: Final = re.compile(r"\s*(?:[;\n]|,(?![0-9]{3}\b))\s*(?:and\s+)?")
_WEIGHED: Final = re.compile(r"(?P<birds>.+?)\s+(?:of|at)\s+(?P<weight>[0-9][0-9.,]*\s*[A-Za-z]+)")


def read_bird_words(text: str, aviary: Aviary) -> tuple[ListedBird, ...]:
    """The birds that the words list; raises FigureProblems with every part that is none."""
    problems: list[Problem] = []
    birds: list[ListedBird] = []
    if len(text) > _LONGEST:
        problems.append(Problem("The list", "is too long", "Write it as a file, a bird in a row."))
        text = ""
    for listed in filter(None, _BETWEEN.split(text.strip().casefold())):
        for part in _pieces(listed, aviary):
            birds += _part(part, aviary, problems, MOST_BIRDS - len(birds))
    if not birds and not problems:
        problems.append(Problem("The list", "names no bird", _LIKE))
    if problems:
        raise FigureProblems(problems)
    return tuple(birds)


def _pieces(part: str, aviary: Aviary) -> list[str]:
    """A part without a comma, cut at each "and" that stands between birds, not in a number."""
    for found in re.finditer(r"\s+and\s+", part):
        before, after = part[: found.start()], part[found.end() :]
        if _names_birds(before, aviary) and _counted(after.split())[0] is not None:
            return [before, *_pieces(after, aviary)]
    return [part]


def _names_birds(part: str, aviary: Aviary) -> bool:
    weighed = _WEIGHED.fullmatch(part)
    count, name = _birds_of(weighed["birds"] if weighed else part, aviary)
    return count is not None and bool(all_named(name, aviary))


def _part(part: str, aviary: Aviary, problems: list[Problem], most: int) -> list[ListedBird]:
    """The birds of one part, such as "thirty budgerigars", or none with a problem kept."""
    place = f"In {shown(part)}"

    def wrong(what: str, remedy: str) -> None:
        problems.append(Problem(place, what, remedy))

    weighed = _WEIGHED.fullmatch(part)
    count, name = _birds_of(weighed["birds"] if weighed else part, aviary)
    if count is None or not name:
        wrong("it is not said how many birds of which species", _LIKE)
        return []
    if not 0 < count <= most:
        wrong(f"{count} is not a number of birds from 1 to {MOST_BIRDS:,} in all", _LIKE)
        return []
    before = len(problems)
    species, own = species_of(Cell(name, wrong), aviary)
    grams = weight_of(Cell(weighed["weight"], wrong), in_grams=False) if weighed else None
    if species is None or len(problems) > before:
        return []
    if own and count > 1:
        wrong(f"{own.name} is one bird", _LIKE)
        return []
    known = own or Bird("", species.name)
    of_own = (known.name, known.ring or "", known.cage or "", known.sex or "")
    return [ListedBird(species, grams, *of_own)] * count


def _birds_of(text: str, aviary: Aviary) -> tuple[int | None, str]:
    """How many, and of what; a bird with a name is one without being counted."""
    count, name = _counted(text.split())
    own = count is None and any(isinstance(one, Bird) for one in all_named(text, aviary))
    return (1, text) if own else (count, name)


def _counted(words: list[str]) -> tuple[int | None, str]:
    """How many, and of what: the longest beginning that is a whole number, or so many pairs."""
    if words[:1] in (["a"], ["an"]):
        words = ["one", *words[1:]]
    for cut in range(len(words) - 1, 0, -1):
        try:
            count: Decimal = value(words[:cut])
        except NumberProblem:
            continue
        if count == int(count):
            return _together(int(count), words[cut:])
    return None, ""


def _together(count: int, words: list[str]) -> tuple[int, str]:
    """How many birds that is: "pairs of galahs" are two each, a "dozen budgerigars" twelve."""
    many = _TOGETHER.get(words[0])
    if many is None or not words[1:]:
        return count, " ".join(words)
    names = words[2:] if words[1] == "of" else words[1:]
    return count * many, " ".join(names)
