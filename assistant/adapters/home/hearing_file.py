"""hearing.toml in a keeper's home: which ears were chosen, and what an enrolment measured.

It is written by `dosewren measure --choose` and `dosewren enrol`, and read whenever ears are
opened.  Deleting the file, or one of its tables, undoes it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

from assistant.adapters.ears.pronunciations import PHONES
from assistant.adapters.home.filing import staged, write_new
from assistant.adapters.home.toml_file import parse, read_text
from assistant.dosing.tables import Table, plain_number, present
from assistant.hearing.choosing import Ear, Pair
from assistant.hearing.habit import MOST_HABIT

_HEAD = """\
# What was measured of your voice and your place, by dosewren enrol and dosewren measure --choose.
# To undo it, delete this file.
"""


@dataclass(frozen=True, slots=True)
class ChosenEars:
    """The ears that the keeper's own recordings chose: by how many of them, and when."""

    pair: Pair
    recordings: int
    measured: str


@dataclass(frozen=True, slots=True)
class Enrolled:
    """What an enrolment measured.

    `strain_habit` is how much more strain this keeper's right phrases have than is usual, in log
    units for each second, from 0 to `MOST_HABIT`; `noise_db` the noise in dB below full scale.
    """

    strain_habit: float
    noise_db: float
    right: int
    phrases: int
    measured: str


@dataclass(frozen=True, slots=True)
class HearingSettings:
    """All that hearing.toml says; `variants` are the pronunciations that fit, for each word."""

    ears: ChosenEars | None = None
    enrolled: Enrolled | None = None
    variants: Mapping[str, Sequence[str]] = field(default_factory=dict)

    @property
    def strain_habit(self) -> float:
        """The habit to take off the strain; none without an enrolment."""
        return self.enrolled.strain_habit if self.enrolled else 0.0


def read_hearing(path: Path) -> HearingSettings:
    """What the file says, or nothing where there is none; raises DataProblem."""
    if not path.exists():
        return HearingSettings()
    table = Table(parse(read_text(path), path), str(path))
    table.allow_only(("ears", "enrolled", "pronunciations"))
    ears, enrolled = _ears(table.inner("ears")), _enrolled(table.inner("enrolled"))
    variants = _variants(table.inner("pronunciations"))
    table.finish()
    return HearingSettings(ears, enrolled, variants)


def _ears(table: Table | None) -> ChosenEars | None:
    if table is None:
        return None
    table.allow_only(("first", "second", "recordings", "measured"))
    first = _ear(table, "first")
    second = _ear(table, "second") if "second" in table.content else None
    if first is not None and first == second:
        table.wrong("second", "is the same ear as the first", "Name another one.")
    recordings = table.whole("recordings", needed=True)
    measured = table.text("measured", needed=True)
    if first is None or recordings is None or measured is None:
        return None
    return ChosenEars(Pair(first, second), recordings, measured)


def _ear(table: Table, key: str) -> Ear | None:
    name = table.text(key, needed=True)
    if name is None or name in set(Ear):
        return None if name is None else Ear(name)
    table.wrong(key, f"there is no ear “{name}”", f"Write {', '.join(Ear)}.")
    return None


def _enrolled(table: Table | None) -> Enrolled | None:
    if table is None:
        return None
    table.allow_only(("strain_habit", "noise_db", "right", "phrases", "measured"))
    habit = table.number("strain_habit", needed=True, zero=True)
    if habit is not None and habit > Decimal(str(MOST_HABIT)):
        table.wrong("strain_habit", f"{habit} is more than {MOST_HABIT}", "Run: dosewren enrol")
    noise = plain_number(table.content.get("noise_db"))
    if noise is None or noise > 0:
        table.wrong("noise_db", "is not a level in dB at or below zero", "Run: dosewren enrol")
    right = table.number("right", needed=True, zero=True)
    phrases = table.whole("phrases", needed=True)
    measured = table.text("measured", needed=True)
    if table.problems or noise is None:
        return None
    return Enrolled(
        strain_habit=float(present(habit)),
        noise_db=float(noise),
        right=int(present(right)),
        phrases=present(phrases),
        measured=present(measured),
    )


def _variants(table: Table | None) -> Mapping[str, Sequence[str]]:
    if table is None:
        return {}
    found = {}
    for word in table.content:
        spoken = table.texts(word)
        strange = [one for one in spoken if not set(one.split()) <= PHONES]
        if strange or not spoken:
            what = f"“{strange[0]}” is not in the phones of CMUdict" if strange else "is empty"
            table.wrong(word, what, "Run: dosewren enrol")
        found[word] = spoken
    return found


def write_hearing(path: Path, settings: HearingSettings) -> None:
    """Write the file, whole; raises DataProblem."""
    text = _text(settings)
    if not write_new(path, text):
        with staged(path, text) as waiting:
            waiting.take_place()


def _text(settings: HearingSettings) -> str:
    import tomlkit

    document: dict[str, Any] = {}
    if chosen := settings.ears:
        second = {"second": chosen.pair.second.value} if chosen.pair.second else {}
        counted = {"recordings": chosen.recordings, "measured": chosen.measured}
        document["ears"] = {"first": chosen.pair.first.value, **second, **counted}
    if found := settings.enrolled:
        document["enrolled"] = {
            "strain_habit": round(found.strain_habit, 3),
            "noise_db": round(found.noise_db, 1),
            "right": found.right,
            "phrases": found.phrases,
            "measured": found.measured,
        }
    if settings.variants:
        document["pronunciations"] = {w: list(said) for w, said in settings.variants.items()}
    return f"{_HEAD}\n{tomlkit.dumps(document)}"
