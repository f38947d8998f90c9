"""Species and birds: names, usual weights, and what a crop can take."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from assistant.dosing.names import fold, spoken_form

CROP_ML_PER_KG = 50
"""Estimated crop volume in mL per kg of bird: LafeberVet, "Tube Feeding Birds"."""

CROP_FRACTION = Fraction(1, 4)
"""The share of the crop a medicine may fill.  A choice of this tool: below one third, the smallest
first feed in the same source.  No published ceiling for a medicine was found."""

_USUAL = (Decimal("0.7"), Decimal("1.5"))
_POSSIBLE = (Decimal("0.4"), Decimal(3))


class Crop(StrEnum):
    """Whether a species has a true crop to put a dose into."""

    TRUE = "true"
    NONE = "none"
    UNKNOWN = "unknown"


class Plausibility(StrEnum):
    """What to do about a weight: take it, ask about it, or refuse it."""

    USUAL = "usual"
    ASK = "ask"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True)
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
        """The name to say: the common name without what stands in brackets."""
        return self.name.partition("(")[0].strip()

    @property
    def names(self) -> tuple[str, ...]:
        """Every name it goes by, as said, the common name first, each once."""
        return tuple(dict.fromkeys(spoken_form(name) for name in (self.name, *self.aliases)))

    def answers_to(self, name: str) -> bool:
        """Whether `name` is one of its names, its scientific name or its group."""
        wanted = fold(name)
        own = {fold(own) for own in (*self.names, self.name, self.scientific, self.group)}
        return wanted in own or wanted.removesuffix("s") in own

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
    """One bird of the keeper's, by name or ring, with the common name of its species."""

    name: str
    species: str
    ring: str | None = None
    aliases: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Every name it goes by, as said; the ring is not among them."""
        return tuple(dict.fromkeys(spoken_form(name) for name in (self.name, *self.aliases)))


def crop_limit_ml(grams: Decimal) -> Fraction:
    """The most a dose may be for a bird of so many grams with a true crop, in mL."""
    return Fraction(grams) * CROP_ML_PER_KG / 1000 * CROP_FRACTION


@dataclass(frozen=True, slots=True)
class Aviary:
    """Every species and bird that can be named.

    `aliases` are the keeper's own: (spoken, common name of the species).  A bird or an alias of
    the keeper's wins over a name in the table.
    """

    species_list: tuple[Species, ...]
    birds: tuple[Bird, ...] = ()
    aliases: tuple[tuple[str, str], ...] = ()

    def species(self, name: str) -> Species:
        """The species of this common name, exactly; raises KeyError."""
        for species in self.species_list:
            if species.name == name:
                return species
        raise KeyError(name)

    def named(self, spoken: str) -> tuple[Species | Bird, ...]:
        """All that go by this name, a ring number included: none, one, or several to ask about."""
        wanted = fold(spoken)
        ring = wanted.removeprefix("ring ")
        birds = tuple(
            bird
            for bird in self.birds
            if wanted in map(fold, bird.names) or (bird.ring and fold(bird.ring) == ring)
        )
        if birds:
            return birds
        own = [name for alias, name in self.aliases if fold(alias) == wanted]
        if own:
            return tuple(self.species(name) for name in dict.fromkeys(own))
        return self._in_table(wanted)

    def _in_table(self, wanted: str) -> tuple[Species, ...]:
        """By whole common name first, then by any name."""
        whole = [one for one in self.species_list if fold(one.name) == wanted]
        shared = [one for one in self.species_list if wanted in map(fold, one.names)]
        return tuple(whole if len(whole) == 1 and whole[0] in shared[:1] else shared)

    def spoken_names(self) -> Mapping[str, tuple[str, ...]]:
        """Each name as said, with the common names or bird names it may mean; no rings."""
        heard: dict[str, None] = {}
        for bird in self.birds:
            heard.update(dict.fromkeys(bird.names))
        heard.update(dict.fromkeys(spoken_form(alias) for alias, _ in self.aliases))
        for species in self.species_list:
            heard.update(dict.fromkeys(species.names))
        return {name: tuple(found.name for found in self.named(name)) for name in heard}

    def rings(self) -> Mapping[str, Bird]:
        """Each ring as written, with its bird."""
        return {bird.ring: bird for bird in self.birds if bird.ring}


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
    species.  An own species of the same name replaces that of the table.
    """
    raise NotImplementedError
