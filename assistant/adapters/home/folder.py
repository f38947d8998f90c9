"""The keeper's home: the folder with the medicines, the kit, the birds and the register."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache, partial
from importlib.resources import files
from pathlib import Path
from typing import Final, TypeVar

from assistant.adapters.home.toml_file import parse, read_text
from assistant.dosing.cautions import unmatched_cautions
from assistant.dosing.kit import Kit, read_kit
from assistant.dosing.medicine import Medicine, read_medicine
from assistant.dosing.names import fold
from assistant.dosing.species import Aviary, Species, read_birds, read_species_csv
from assistant.dosing.tables import FigureProblems, Problem, Table, nearest
from assistant.errors import PartMissing

T = TypeVar("T")

VARIABLE: Final = "DOSEWREN_HOME"
"""The environment variable that names the home, where no folder is given."""


@dataclass(frozen=True, slots=True)
class Holding:
    """All that the keeper's files say, read and checked."""

    kit: Kit
    medicines: tuple[Medicine, ...]
    aviary: Aviary

    def medicine(self, name: str) -> Medicine | None:
        """The medicine that goes by this name, or None."""
        return find_medicine(self.medicines, name)

    @property
    def usual_medicine(self) -> Medicine | None:
        """The medicine that the kit names, or the only one there is; else None."""
        if self.kit.medicine is not None:
            return self.medicine(self.kit.medicine)
        return self.medicines[0] if len(self.medicines) == 1 else None


@dataclass(frozen=True, slots=True)
class Home:
    """The folder and its files.  Reading raises PartMissing or DataProblem."""

    path: Path

    @property
    def medicines_file(self) -> Path:
        """Where the medicines are."""
        return self.path / "medicines.toml"

    @property
    def kit_file(self) -> Path:
        """Where the kit is."""
        return self.path / "kit.toml"

    @property
    def birds_file(self) -> Path:
        """Where the keeper's own species, names and birds are; it may be missing."""
        return self.path / "birds.toml"

    @property
    def register_file(self) -> Path:
        """Where the register is, or will be."""
        return self.path / "register.sqlite"

    @property
    def recordings_folder(self) -> Path:
        """Where recordings are kept, if the keeper wants that."""
        return self.path / "recordings"

    @property
    def hearing_file(self) -> Path:
        """What was measured of this keeper's voice and place; it may be missing."""
        return self.path / "hearing.toml"

    @property
    def pronunciations_file(self) -> Path:
        """How the keeper says words of their own, in CMU notation; it may be missing."""
        return self.path / "pronunciations.dict"

    @property
    def cache_folder(self) -> Path:
        """Where what can be made again is kept, for a quicker start; it may be thrown away."""
        return self.path / "cache"

    def holding(self) -> Holding:
        """All files read together; raises FigureProblems with every wrong figure in any of them."""
        self._must_exist()
        problems: list[Problem] = []
        kit = _collect(self.kit, problems)
        medicines = _collect(self.medicines, problems)
        aviary = _collect(self.aviary, problems)
        if problems or kit is None or medicines is None or aviary is None:
            raise FigureProblems(problems)
        holding = Holding(kit, medicines, aviary)
        if problems := self._disagreements(holding):
            raise FigureProblems(problems)
        return holding

    def _disagreements(self, holding: Holding) -> list[Problem]:
        """What is right in each file, but not beside the others."""
        problems = _unknown_default(holding.kit, holding.medicines, self.kit_file)
        for one in holding.medicines:
            place = f"{self.medicines_file} ({one.name})"
            problems += unmatched_cautions(one, holding.aviary.species_list, place)
        return problems

    def medicines(self) -> tuple[Medicine, ...]:
        """Every medicine of medicines.toml, in its order; no two share a name."""
        self._must_exist()
        return read_medicines(read_text(self.medicines_file), self.medicines_file)

    def kit(self) -> Kit:
        """What kit.toml says."""
        self._must_exist()
        return read_kit(parse(read_text(self.kit_file), self.kit_file), str(self.kit_file))

    def aviary(self) -> Aviary:
        """The table of species with what birds.toml adds to it."""
        place = self.birds_file
        content = parse(read_text(place), place) if place.exists() else {}
        return read_birds(content, species_table(), str(place))

    def _must_exist(self) -> None:
        if not os.path.isdir(self.path):  # noqa: PTH112 - takes a forbidden folder for none
            raise PartMissing(
                f"There is no folder {self.path} with your medicines and kit.",
                "Run: dosewren setup (asks a few questions), or: dosewren setup --demo "
                "(an invented set). Another folder: --home DIR, or set DOSEWREN_HOME.",
            )


def locate(given: Path | str | None, environment: Mapping[str, str]) -> Home:
    """The home: the folder given, else DOSEWREN_HOME, else .dosewren in the user's own folder."""
    chosen = given or environment.get(VARIABLE) or Path("~") / ".dosewren"
    try:
        return Home(Path(chosen).expanduser())
    except RuntimeError as error:
        raise PartMissing(
            f"The folder {chosen} cannot be found: this user has no folder of their own.",
            "Name one with --home DIR, or set DOSEWREN_HOME.",
        ) from error


def read_medicines(text: str, path: Path) -> tuple[Medicine, ...]:
    """Every medicine in the text of a medicines.toml; raises DataProblem with every problem."""
    table = Table(parse(text, path), str(path))
    table.allow_only(("medicine",))
    problems = table.problems
    found = []
    for row in table.rows("medicine"):
        name = row.content.get("name")
        place = f"{row.place} ({name})" if isinstance(name, str) else row.place
        found.append(_collect(partial(read_medicine, row.content, place), problems))
    medicines = tuple(one for one in found if one is not None)
    problems += _shared_names(medicines, path)
    table.finish()
    return medicines


def find_medicine(medicines: Iterable[Medicine], name: str) -> Medicine | None:
    """The medicine that goes by this name, spoken or written, or None."""
    wanted = fold(name)
    for medicine in medicines:
        if wanted in {fold(own) for own in (medicine.name, *medicine.spoken)}:
            return medicine
    return None


@cache
def species_table() -> tuple[Species, ...]:
    """The table of species that comes with dosewren."""
    table = files("assistant") / "data" / "species.csv"
    return read_species_csv(table.read_text("utf-8"))


def _collect(read: Callable[[], T], problems: list[Problem]) -> T | None:
    """What `read` gives, or None with its problems added to the others."""
    try:
        return read()
    except FigureProblems as found:
        problems += found.problems
        return None


def _shared_names(medicines: tuple[Medicine, ...], path: Path) -> list[Problem]:
    owner: dict[str, str] = {}
    problems = []
    for count, medicine in enumerate(medicines, start=1):
        for name in {fold(own) for own in (medicine.name, *medicine.spoken)}:
            if name in owner:
                problems.append(
                    Problem(
                        f"{path}, medicine {count} ({medicine.name})",
                        f"the name “{name}” belongs to {owner[name]} already",
                        "Give each medicine names of its own, so that none is taken for another.",
                    )
                )
            owner[name] = medicine.name
    return problems


def _unknown_default(kit: Kit, medicines: tuple[Medicine, ...], path: Path) -> list[Problem]:
    if kit.medicine is None or find_medicine(medicines, kit.medicine):
        return []
    near = nearest(kit.medicine, [medicine.name for medicine in medicines])
    remedy = f"Did you mean “{near}”?" if near else "Write a name that medicines.toml has."
    return [Problem(f"{path}, medicine", f"there is no medicine “{kit.medicine}”", remedy)]
