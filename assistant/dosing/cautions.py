"""Which cautions of a medicine meet which species."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.dosing.label import Caution
from assistant.dosing.medicine import Medicine
from assistant.dosing.names import fold
from assistant.dosing.species import Species
from assistant.dosing.tables import Problem

_EVERY_BIRD = {"all", "all birds", "any bird", "bird", "birds", "every bird"}


def meets(caution: Caution, species: Species) -> bool:
    """Whether the caution is for this species, by any of its names, its group, or every bird."""
    return fold(caution.applies_to) in _EVERY_BIRD or species.answers_to(caution.applies_to)


def cautions_for(medicine: Medicine, species: Species) -> tuple[Caution, ...]:
    """The medicine's cautions for this species, in the order of the file."""
    return tuple(caution for caution in medicine.cautions if meets(caution, species))


def unmatched_cautions(
    medicine: Medicine, species: Iterable[Species], place: str
) -> tuple[Problem, ...]:
    """A problem for each caution that is for no known species or group: it would never be said."""
    known = tuple(species)
    return tuple(
        Problem(
            f"{place}, cautions",
            f"no bird here is called “{caution.applies_to}”, so this caution would never be heard",
            "Write a species or a group of the table, such as pigeon, parrot or finch.",
        )
        for caution in medicine.cautions
        if not any(meets(caution, one) for one in known)
    )
