"""Species and birds: names, usual weights, and what a crop can take."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from assistant.dosing.names import fold, spoken_form
from assistant.dosing.quantities import Kind
from assistant.dosing.tables import Table, nearest, shown

__all__ = [
    "CROP_FRACTION",
    "CROP_FRACTION_SAID",
    "CROP_ML_PER_KG",
    "Aviary",
    "Bird",
    "Crop",
    "Plausibility",
    "Species",
    "crop_limit_ml",
    "fold",
    "read_birds",
    "read_species_csv",
    "spoken_form",
]

CROP_ML_PER_KG = 50
"""Estimated crop volume in mL per kg of bird: LafeberVet, "Tube Feeding Birds"."""

CROP_FRACTION, CROP_FRACTION_SAID = Fraction(1, 4), "a quarter"
"""The share of the crop a medicine may fill.  A choice of this tool: below one third, the smallest
first feed in the same source.  No published ceiling for a medicine was found."""

_PERMITTED_ML_PER_G = Fraction(CROP_ML_PER_KG, 1000) * CROP_FRACTION

PARROT_GROUPS = {"small parrot", "medium parrot", "large parrot", "cockatoo", "lory"}
_USUAL = (Decimal("0.7"), Decimal("1.5"))
_POSSIBLE = (Decimal("0.4"), Decimal(3))


class Crop(StrEnum):
    """Whether a species has a true crop to put a dose into."""

    TRUE = "true"
    NONE = "none"
    UNKNOWN = "unknown"


class Sex(StrEnum):
    """The sex of a bird, as far as the keeper knows it."""

    MALE = "male"
    FEMALE = "female"
    UNKNOWN = "unknown"


class Plausibility(StrEnum):
    """What to do about a weight: take it, ask about it, or refuse it."""

    USUAL = "usual"
    ASK = "ask"
    REFUSE = "refuse"


@dataclass(frozen=True)
class Species:
    """A species with its names and its usual adult weight.

    Published means are of wild birds.  `range_basis` says how good the range is: "published",
    "weak list", "derived", "from memory" or "keeper".
    """

    name: str
    aliases: tuple[str, ...]
    scientific: str
    group: str
    mean_g: Decimal | None
    mean_source: str
    low_g: Decimal
    high_g: Decimal
    range_source: str
    range_basis: str
    crop: Crop

    @property
    def spoken(self) -> str:
        """The name to say: what stands in brackets goes first if it is a name, or is left out."""
        name, _, bracketed = self.name.rstrip(")").partition(" (")
        return f"{bracketed} {name}" if bracketed[:1].isupper() else name

    @property
    def names(self) -> tuple[str, ...]:
        """Every name it goes by, as said, the common name first, each once."""
        return tuple(dict.fromkeys(filter(None, map(spoken_form, (self.name, *self.aliases)))))

    def answers_to(self, name: str) -> bool:
        """Whether `name`, one or many, is any of its names, its group or the family of that."""
        wanted = fold(name)
        return not self._folded.isdisjoint(
            (wanted, wanted.removesuffix("s"), wanted.removesuffix("es"))
        )

    @cached_property
    def _folded(self) -> frozenset[str]:
        family = ("parrot",) if self.group in PARROT_GROUPS else ()
        names = (*self.names, self.name, self.scientific, self.group, *family)
        return frozenset(map(fold, names))

    def judge(self, grams: Decimal) -> Plausibility:
        """Whether a weight in grams is usual (0.7 × low to 1.5 × high), odd or absurd.

        Absurd is below 0.4 × low, above 3 × high, or no weight at all.  The band is wide because
        aviary birds often weigh 40 % over a wild mean (common practice, no source).
        """
        if not grams.is_finite() or not (
            self.low_g * _POSSIBLE[0] <= grams <= self.high_g * _POSSIBLE[1]
        ):
            return Plausibility.REFUSE
        if self.low_g * _USUAL[0] <= grams <= self.high_g * _USUAL[1]:
            return Plausibility.USUAL
        return Plausibility.ASK


@dataclass(frozen=True, slots=True)
class Bird:
    """One bird of the keeper's, by name or ring, with the common name of its species.

    `cage` is a number in figures or a name; `sex` is "male", "female" or None: not known.
    """

    name: str
    species: str
    ring: str | None = None
    aliases: tuple[str, ...] = ()
    cage: str | None = None
    sex: str | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """Every name it goes by, as said; the ring is not among them."""
        return tuple(dict.fromkeys(filter(None, map(spoken_form, (self.name, *self.aliases)))))


def crop_limit_ml(grams: Decimal) -> Fraction:
    """The most a dose may be for a bird of so many grams with a true crop, in mL."""
    return Fraction(grams) * _PERMITTED_ML_PER_G


@dataclass(frozen=True)
class Aviary:
    """Every species and bird that can be named.

    `aliases` are the keeper's own: (spoken, common name of the species).  A bird or an alias of
    the keeper's wins over a name in the table.
    """

    species_list: tuple[Species, ...]
    birds: tuple[Bird, ...] = ()
    aliases: tuple[tuple[str, str], ...] = ()

    def species(self, name: str) -> Species:
        """The species of this common name; raises KeyError."""
        for species in self.species_list:
            if species.name == name:
                return species
        raise KeyError(name)

    def named(self, spoken: str) -> tuple[Species | Bird, ...]:
        """All that go by this name, a ring number included: none, one, or several to ask about."""
        wanted = fold(spoken)
        found = self._by_name.get(wanted)
        if found:
            return found
        ring = wanted.removeprefix("ring ")
        return tuple(bird for bird in self.birds if bird.ring and fold(bird.ring) == ring)

    @cached_property
    def spoken_names(self) -> Mapping[str, tuple[str, ...]]:
        """Each name as said, with the common names or bird names it may mean; no rings."""
        heard = [name for bird in self.birds for name in bird.names]
        heard += [spoken_form(alias) for alias, _ in self.aliases]
        heard += [name for species in self.species_list for name in species.names]
        index = self._by_name
        return {name: tuple(one.name for one in index[fold(name)]) for name in heard}

    def rings(self) -> Mapping[str, Bird]:
        """Each ring as written, with its bird."""
        return {bird.ring: bird for bird in self.birds if bird.ring}

    @cached_property
    def _by_name(self) -> Mapping[str, tuple[Species | Bird, ...]]:
        """Every folded name with all that go by it, the keeper's own before the table's."""
        table = _collected((name, one) for one in self.species_list for name in one.names)
        own = _collected((alias, self.species(name)) for alias, name in self.aliases)
        birds = _collected((name, one) for one in self.birds for name in one.names)
        return {**table, **own, **birds}


def _collected(
    pairs: Iterable[tuple[str, Species | Bird]],
) -> dict[str, tuple[Species | Bird, ...]]:
    found: dict[str, tuple[Species | Bird, ...]] = {}
    for name, one in pairs:
        others = found.get(fold(name), ())
        found[fold(name)] = others if one in others else (*others, one)
    return found


def read_species_csv(text: str) -> tuple[Species, ...]:
    """Read the table of species; lines that start with # are comments.  Raises ValueError."""
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return tuple(_species_row(row) for row in csv.DictReader(lines, strict=True))


def _species_row(row: Mapping[str, str]) -> Species:
    return Species(
        name=row["name"],
        aliases=tuple(filter(None, row["aliases"].split(";"))),
        scientific=row["scientific"],
        group=row["group"],
        mean_g=Decimal(row["mean_g"]) if row["mean_g"] else None,
        mean_source=row["mean_source"],
        low_g=Decimal(row["low_g"]),
        high_g=Decimal(row["high_g"]),
        range_source=row["range_source"],
        range_basis=row["range_basis"],
        crop=Crop(row["crop"]),
    )


def read_birds(
    table: Mapping[str, object], table_species: tuple[Species, ...], place: str
) -> Aviary:
    """Read birds.toml on top of the table of species; raises FigureProblems with every problem.

    Keys: `[[species]]` name, aliases, scientific, group, low ("25 g"), high, crop ("true", "none"
    or "unknown"); `[aliases]` "spoken name" = "Common name"; `[[bird]]` name, aliases, ring,
    species, cage, sex.  An own species of the same name replaces that of the table.
    """
    source = Table(table, place)
    source.allow_only(("species", "aliases", "bird"))
    own = tuple(filter(None, map(_own_species, source.rows("species"))))
    replaced = {fold(species.name) for species in own}
    kept = tuple(species for species in table_species if fold(species.name) not in replaced)
    everything = Aviary((*own, *kept))
    aliases = _own_aliases(source, everything)
    birds = tuple(
        filter(None, (_own_bird(row, everything, dict(aliases)) for row in source.rows("bird")))
    )
    source.finish()
    return Aviary(everything.species_list, birds, aliases)


def _own_species(row: Table) -> Species | None:
    row.allow_only(("name", "aliases", "scientific", "group", "low", "high", "crop"))
    name = row.text("name", needed=True)
    low = row.size("low", Kind.MASS, needed=True)
    high = row.size("high", Kind.MASS, needed=True)
    crop = row.choice("crop", Crop, Crop.UNKNOWN)
    if name is None or low is None or high is None:
        return None
    if low > high:
        row.wrong("low", f"{low} g is above the high end, {high} g")
    return Species(
        name=name,
        aliases=row.texts("aliases"),
        scientific=row.text("scientific") or "",
        group=row.text("group") or "",
        mean_g=None,
        mean_source="",
        low_g=low,
        high_g=high,
        range_source="the keeper",
        range_basis="keeper",
        crop=crop,
    )


def _own_aliases(source: Table, aviary: Aviary) -> tuple[tuple[str, str], ...]:
    inner = source.inner("aliases")
    if inner is None:
        return ()
    found = ((alias, _known_species(inner, alias, aviary, {})) for alias in inner.content)
    return tuple((alias, name) for alias, name in found if name)


def _own_bird(row: Table, aviary: Aviary, aliases: Mapping[str, str]) -> Bird | None:
    row.allow_only(("name", "aliases", "ring", "species", "cage", "sex"))
    name = row.text("name", needed=True)
    species = _known_species(row, "species", aviary, aliases)
    names, ring = row.texts("aliases"), row.text("ring")
    cage, sex = _own_cage(row), row.choice("sex", Sex, Sex.UNKNOWN)
    known = None if sex is Sex.UNKNOWN else sex.value
    return Bird(name, species, ring, names, cage, known) if name and species else None


def _own_cage(row: Table) -> str | None:
    """A cage by its number or its name, as it is said after the word cage."""
    number = row.content.get("cage")
    if isinstance(number, int) and not isinstance(number, bool):
        return str(number)
    name = row.text("cage")
    return spoken_form(name).removeprefix("cage ") if name else None


def _known_species(
    table: Table, key: str, aviary: Aviary, aliases: Mapping[str, str]
) -> str | None:
    """The common name of the one species that the value of `key` names, or a problem kept."""
    value = table.text(key, needed=True)
    if value is None:
        return None
    if value in aliases:
        return aliases[value]
    found = aviary.named(value)
    if len(found) == 1:
        return found[0].name
    if found:
        names = ", ".join(one.name for one in found)
        table.wrong(key, f"{shown(value)} can be several species", f"Write one: {names}.")
        return None
    near = nearest(fold(value), aviary.spoken_names)
    meant = ", ".join(one.name for one in aviary.named(near)) if near else ""
    remedy = f"Did you mean “{meant}”?" if meant else "Add it under [[species]] first."
    table.wrong(key, f"no species here is called {shown(value)}", remedy)
    return None
