"""Which cautions of a medicine meet which species, and which birds of it."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from assistant.dosing.condition import Condition, condition_named
from assistant.dosing.label import Caution
from assistant.dosing.medicine import Medicine
from assistant.dosing.names import fold
from assistant.dosing.species import Species
from assistant.dosing.tables import Problem

_EVERY_BIRD = {"all", "all birds", "any bird", "bird", "birds", "every bird"}


def meets(caution: Caution, species: Species, conditions: Collection[Condition] = ()) -> bool:
    """Whether the caution is for this species, its group, every bird, or one in this condition."""
    if fold(caution.applies_to) in _EVERY_BIRD or species.answers_to(caution.applies_to):
        return True
    return condition_named(caution.applies_to) in conditions


def cautions_for(
    medicine: Medicine, species: Species, conditions: Collection[Condition] = ()
) -> tuple[Caution, ...]:
    """The medicine's cautions for this bird, in the order of the file."""
    return tuple(one for one in medicine.cautions if meets(one, species, conditions))


def conditional(medicine: Medicine) -> tuple[tuple[Condition, Caution], ...]:
    """The cautions for birds in some condition, which has to be asked for."""
    found = ((condition_named(one.applies_to), one) for one in medicine.cautions)
    return tuple((condition, one) for condition, one in found if condition is not None)


def unmatched_cautions(
    medicine: Medicine, species: Iterable[Species], place: str
) -> tuple[Problem, ...]:
    """A problem for each caution that is for no known bird: it would never be said."""
    known = tuple(species)
    return tuple(
        Problem(
            f"{place}, cautions",
            f"no bird here is called “{caution.applies_to}”, so this caution would never be heard",
            "Write a species or a group of the table, such as pigeon, parrot or finch; or chicks, "
            "ill birds, breeding birds or moulting birds.",
        )
        for caution in medicine.cautions
        if condition_named(caution.applies_to) is None
        and not any(meets(caution, one) for one in known)
    )
