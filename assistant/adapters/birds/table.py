"""A list of birds from a table: a CSV file with a header, checked row by row before any is used.

    species   needed: a name of the species, or of one of the keeper's own birds
    grams     its weight as a plain number; or, under the header "weight", with its unit: "95 g"
    name, ring, cage, sex

Commas, semicolons or tabs may stand between the cells; UTF-8, with or without a byte order mark.
Headers are read forgivingly.  Every problem is told with its row and column, and with a problem
nothing of the file is used.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from assistant.adapters.birds.cells import Cell, own_bird, sex_of, species_of, weight_of
from assistant.adapters.home.toml_file import read_text
from assistant.dosing.names import fold
from assistant.dosing.species import Aviary, Bird
from assistant.dosing.tables import FigureProblems, Problem, shown
from assistant.errors import DataProblem
from assistant.language.names import near_words
from assistant.planning.birds import ListedBird

MOST_BIRDS: Final = 20_000
LARGEST_LIST: Final = 5_000_000
"""In bytes; a list of the most birds is a fifth of it."""

_LONGEST_CELL: Final = 200
_SHOWN_PROBLEMS: Final = 20
_HEADERS: Final[Mapping[str, tuple[str, ...]]] = {
    "species": ("species", "bird", "birds", "kind", "breed"),
    "grams": ("grams", "gram", "g", "weight in grams", "weight g", "mass g"),
    "weight": ("weight", "mass"),
    "name": ("name", "bird name", "called"),
    "ring": ("ring", "ring number", "ring no", "band", "leg band", "leg ring"),
    "cage": ("cage", "aviary", "pen", "flight", "enclosure"),
    "sex": ("sex", "gender"),
}
_KNOWN: Final = {name: column for column, names in _HEADERS.items() for name in names}
_SEPARATORS: Final = ",;\t"


@dataclass(frozen=True, slots=True)
class BirdList:
    """The birds of a list, and the headers of columns that were left aside."""

    birds: tuple[ListedBird, ...]
    left_aside: tuple[str, ...] = ()


@dataclass(slots=True)
class _Reading:
    """What one reading of a table needs: the names it knows, and the problems met so far."""

    place: str
    aviary: Aviary
    rings: Mapping[str, Bird]
    problems: list[Problem] = field(default_factory=list)

    def wrong(self, where: str, what: str, remedy: str) -> None:
        self.problems.append(Problem(f"{self.place}, {where}", what, remedy))

    def finish(self) -> None:
        """Raise FigureProblems with the first of the problems and the number of the others."""
        if not self.problems:
            return
        rest = len(self.problems) - _SHOWN_PROBLEMS
        told = self.problems[:_SHOWN_PROBLEMS]
        if rest > 0:
            told.append(
                Problem(self.place, f"and {rest} more like these", "Correct these, then try again.")
            )
        raise FigureProblems(told)


def read_bird_list(path: Path, aviary: Aviary) -> BirdList:
    """The birds of the file; raises DataProblem with every problem, or PartMissing."""
    text = read_text(path, LARGEST_LIST, "Check the name of the file and its folder.")
    rings = {fold(ring): bird for ring, bird in aviary.rings().items()}
    reading = _Reading(str(path), aviary, rings)
    rows = _rows(text, reading.place)
    at, header = next(rows, (1, []))
    columns = _columns(header, at, reading)
    reading.finish()
    birds = tuple(_birds(rows, columns, reading))
    reading.finish()
    if not birds:
        raise DataProblem(f"{path} lists no bird.", "Write one bird in each row below the header.")
    aside = tuple(cell for cell, column in zip(header, columns, strict=True) if not column)
    return BirdList(birds, tuple(cell for cell in aside if cell.strip()))


def _rows(text: str, place: str) -> Iterator[tuple[int, list[str]]]:
    """Each row that is not empty, with its number as a spreadsheet counts; raises DataProblem."""
    first = text.partition("\n")[0]
    separator = max(_SEPARATORS, key=first.count)
    reader = csv.reader(text.splitlines(keepends=True), delimiter=separator, strict=True)
    row = 0
    while True:
        row += 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise DataProblem(
                f"{place}, row {row}: a quotation mark is left open or stands in the wrong place.",
                "Take the quotation marks away, or write each before and after a whole cell.",
            ) from error
        if any(cell.strip() for cell in cells):
            yield row, [cell.strip() for cell in cells]


def _columns(header: Sequence[str], at: int, reading: _Reading) -> list[str | None]:
    """What each column holds; None for one that is left aside."""
    columns: list[str | None] = []
    for number, cell in enumerate(header, start=1):
        where, name = f"row {at}, column {number}", _header_name(cell)
        column = _KNOWN.get(name)
        near = () if column or cell.startswith("#") else near_words(name, _KNOWN)
        if near:
            remedy = f"Did you mean “{near[0]}”? Or begin it with # to leave the column aside."
            reading.wrong(where, f"the header {shown(cell)} is not known", remedy)
        if column and _group(column) in map(_group, filter(None, columns)):
            reading.wrong(where, f"there are two columns for {_group(column)}", "Keep one of them.")
        columns.append(column)
    if "species" not in columns and not reading.problems:
        reading.wrong(
            f"row {at}",
            f"there is no column “species” in {shown(', '.join(header))}",
            "The first row names the columns: species,grams,name,ring,cage,sex",
        )
    return columns


def _header_name(cell: str) -> str:
    """A header for comparing: "Weight (g)" is "weight g"."""
    return fold(cell.replace("(", " ").replace(")", " ").replace("/", " ").replace(":", " "))


def _group(column: str) -> str:
    return "the weight" if column in {"grams", "weight"} else column


def _birds(
    rows: Iterable[tuple[int, list[str]]], columns: Sequence[str | None], reading: _Reading
) -> Iterator[ListedBird]:
    """Each bird of which nothing is wrong; a problem is kept for every other."""
    seen: dict[tuple[str, ...], int] = {}
    for count, (row, cells) in enumerate(rows, start=1):
        if count > MOST_BIRDS:
            reading.wrong(f"row {row}", f"more than {MOST_BIRDS:,} birds", "Split the list.")
            return
        if len(cells) > len(columns):
            reading.wrong(
                f"row {row}, column {len(columns) + 1}",
                f"{len(cells)} cells under {len(columns)} headers: {shown(', '.join(cells))}",
                "A weight with a decimal comma takes two cells: write 95.5, with a point.",
            )
            continue
        named = {name: cell for name, cell in zip(columns, cells, strict=False) if name}
        bird = _bird(row, named, columns, reading)
        if bird:
            _note_twice(bird, row, seen, reading)
            yield bird


def _bird(
    row: int, cells: Mapping[str, str], columns: Sequence[str | None], reading: _Reading
) -> ListedBird | None:
    """The bird of a row, or None with its problems kept."""
    before = len(reading.problems)

    def cell(name: str) -> Cell:
        number = columns.index(name) + 1 if name in columns else 0
        where = f"row {row}, column {number} ({name})"

        def wrong(what: str, remedy: str) -> None:
            reading.wrong(where, what, remedy)

        return Cell(cells.get(name, ""), wrong)

    for name, text in cells.items():
        if len(text) > _LONGEST_CELL or not text.isprintable():
            cell(name).wrong(
                f"{shown(text)} is too long, or holds a sign that cannot be printed", ""
            )
    species, own = species_of(cell("species"), reading.aviary)
    weight_column = "grams" if "grams" in columns else "weight"
    grams = weight_of(cell(weight_column), in_grams=weight_column == "grams")
    sex = sex_of(cell("sex"))
    if species:
        told = own_bird(cell("name"), cell("ring"), species, reading.aviary, reading.rings)
        own = told or own
    if species is None or len(reading.problems) > before:
        return None
    known = own or Bird("", species.name)
    return ListedBird(
        species,
        grams,
        known.name or cells.get("name", ""),
        cells.get("ring") or known.ring or "",
        cells.get("cage") or known.cage or "",
        sex or known.sex or "",
    )


def _note_twice(
    bird: ListedBird, row: int, seen: dict[tuple[str, ...], int], reading: _Reading
) -> None:
    """Keep a problem for a bird that stands in an earlier row as well: it would be dosed twice."""
    key: tuple[str, ...]
    if bird.ring:
        key = ("ring", fold(bird.ring))
    elif bird.name:
        key = ("name", fold(bird.name), bird.species.name, fold(bird.cage))
    else:
        return
    first = seen.setdefault(key, row)
    if first != row:
        reading.wrong(
            f"row {row}",
            f"{shown(bird.said)} stands in row {first} already",
            "Keep one row for each bird; give two birds of one name their rings or cages.",
        )
