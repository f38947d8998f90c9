"""The cells of a list of birds, each read on its own: species, weight, sex, ring."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from assistant.dosing.names import fold
from assistant.dosing.quantities import Kind, QuantityProblem, grams, parse
from assistant.dosing.species import Aviary, Bird, Species
from assistant.dosing.tables import nearest, shown

_PLAIN: Final = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,4})?")
_COMMA: Final = re.compile(r"[0-9]+,[0-9]+.*")
_NOT_WEIGHED: Final = frozenset({"", "?", "-", "not weighed", "unknown"})
_SEXES: Final = {
    **dict.fromkeys(("m", "male", "cock", "boy"), "male"),
    **dict.fromkeys(("f", "female", "hen", "girl"), "female"),
    **dict.fromkeys(("", "?", "u", "unknown", "unsexed"), ""),
}


@dataclass(frozen=True, slots=True)
class Cell:
    """The text of a cell, and where a problem with it is kept."""

    text: str
    wrong: Callable[[str, str], None]


def species_of(cell: Cell, aviary: Aviary) -> tuple[Species | None, Bird | None]:
    """The one species that the cell names, and the keeper's bird where it names one."""
    if not cell.text:
        cell.wrong("the species is missing", "Write a name of the species, such as cockatiel.")
        return None, None
    found = all_named(cell.text, aviary)
    if len(found) == 1:
        return (
            (aviary.species(found[0].species), found[0])
            if isinstance(found[0], Bird)
            else (found[0], None)
        )
    if found:
        names = ", ".join(one.name for one in found)
        cell.wrong(f"{shown(cell.text)} can be several birds", f"Write one of: {names}.")
        return None, None
    near = nearest(fold(cell.text), aviary.spoken_names)
    meant = ", ".join(one.name for one in aviary.named(near)) if near else ""
    remedy = f"Did you mean {meant}?" if meant else "Add the species to birds.toml first."
    cell.wrong(f"no bird here is called {shown(cell.text)}", remedy)
    return None, None


def all_named(text: str, aviary: Aviary) -> tuple[Species | Bird, ...]:
    """All that go by this name, whether one of them is named or many."""
    for name in _singular(fold(text)):
        if found := aviary.named(name):
            return found
    return ()


def _singular(name: str) -> tuple[str, ...]:
    endings = (("ies", "y"), ("es", ""), ("s", ""))
    return (name, *(name.removesuffix(many) + one for many, one in endings if name.endswith(many)))


def weight_of(cell: Cell, *, in_grams: bool) -> Decimal | None:
    """The weight in grams; None where the bird was not weighed, or with a problem kept."""
    text = cell.text
    if text.casefold() in _NOT_WEIGHED:
        return None
    if in_grams and _PLAIN.fullmatch(text):
        weight = Decimal(text)
        if not weight:
            cell.wrong("0 is not a weight", "Leave the cell empty if the bird was not weighed.")
        return weight
    if _COMMA.fullmatch(text):
        pointed = text.replace(",", ".", 1)
        cell.wrong(
            f"{shown(text)} has a comma, which may mark decimals or thousands",
            f"Write decimals after a point, as in {pointed}, and thousands without a sign.",
        )
        return None
    try:
        return grams(parse(text, Kind.MASS))
    except QuantityProblem as problem:
        expected = "a plain number of grams, as in 95" if in_grams else "its unit, as in 95 g"
        cell.wrong(str(problem).removesuffix("."), f"Write the weight with {expected}.")
        return None


def sex_of(cell: Cell) -> str:
    """The sex, as male or female, or nothing where it is not known."""
    sex = _SEXES.get(cell.text.casefold())
    if sex is None:
        cell.wrong(
            f"{shown(cell.text)} is not a sex", "Write male, female, or leave the cell empty."
        )
    return sex or ""


def own_bird(
    name: Cell, ring: Cell, species: Species, aviary: Aviary, rings: Mapping[str, Bird]
) -> Bird | None:
    """The bird of birds.toml that ring or name tell of; a problem kept where it is another one."""
    if bird := rings.get(fold(ring.text)) if ring.text else None:
        another = bool(name.text) and fold(name.text) not in map(fold, bird.names)
        if another or bird.species != species.name:
            ring.wrong(
                f"ring {shown(ring.text)} is on {bird.name}, a {bird.species}, in birds.toml",
                "Check the ring, or correct birds.toml.",
            )
        return bird
    found = aviary.named(name.text) if name.text else ()
    bird = next((one for one in found if isinstance(one, Bird)), None)
    if bird is None or (ring.text and bird.ring):
        # a ring that is not that bird's: another one of its name
        return None
    if bird.species != species.name:
        name.wrong(
            f"{bird.name} is a {bird.species} in birds.toml",
            "Check the bird, or correct birds.toml.",
        )
    return bird
