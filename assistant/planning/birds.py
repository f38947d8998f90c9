"""The birds of a round, as a keeper lists them before it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from assistant.dosing.species import Species

_FIGURES = re.compile(r"([0-9]+)")


@dataclass(frozen=True, slots=True)
class ListedBird:
    """One bird: its species, and its weight in grams if it was weighed.

    Name, ring, cage and sex are as the keeper wrote them, empty where they did not.
    """

    species: Species
    grams: Decimal | None = None
    name: str = ""
    ring: str = ""
    cage: str = ""
    sex: str = ""

    @property
    def called(self) -> str:
        """Its name and ring, or nothing."""
        ring = f"ring {self.ring}" if self.ring else ""
        return ", ".join(filter(None, (self.name, ring)))

    @property
    def said(self) -> str:
        """The bird as a sheet names it: cage, name, ring and species."""
        return ", ".join(filter(None, (self.cage, self.called, self.species.spoken)))


def in_order(birds: tuple[ListedBird, ...]) -> tuple[ListedBird, ...]:
    """The birds cage by cage, by ring or name: one order, however they were listed."""
    return tuple(sorted(birds, key=_place))


def _place(bird: ListedBird) -> tuple[object, ...]:
    """Where a bird stands in the order; one that was not weighed comes after one that was."""
    return (
        _by_number(bird.cage),
        not (bird.name or bird.ring),
        _by_number(bird.ring or bird.name),
        bird.name,
        bird.species.name,
        bird.sex,
        bird.grams is None,
        bird.grams or Decimal(0),
    )


@lru_cache(maxsize=4096)
def _by_number(text: str) -> tuple[str | int, ...]:
    """A text for ordering, so that cage 10 comes after cage 9."""
    parts = _FIGURES.split(text.casefold())
    return tuple(int(part) if at % 2 else part for at, part in enumerate(parts))
