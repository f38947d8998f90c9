"""What a round has gone through, beside its doses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from assistant.dosing.condition import Condition
from assistant.dosing.reminders import Reminder


@dataclass(frozen=True, slots=True)
class Sitting:
    """Reminders said, cages counted, birds to be careful with.

    `reminded` is what was said already, `foul_needle` whether the needle was in a bird that is ill
    or had an emergency, and `told_to_change` whether it was to be changed and nobody said yet that
    it was: what is in it is not known then.  `bag_in_doubt` is whether words that were not followed
    may have told of another bag, or of none.  `alarmed` holds the doses and the names of birds with
    an emergency.
    `present` and `spared` are the conditions that some bird, or none, of this cage is in.

    `cage` is the one at hand, `cages` are those that were said so far, `counted` is how many birds
    each was said to hold, and `uncertain` are those whose counts do not match; `found_done` is
    whether some birds were done before the keeper came to it, and `last_cage` that of the last dose
    that ended.  `paired` is whether the bird at hand is the first of a pair.
    """

    reminded: frozenset[Reminder] = frozenset()
    foul_needle: bool = False
    told_to_change: bool = False
    bag_in_doubt: bool = False
    alarmed: frozenset[str] = frozenset()
    present: frozenset[Condition] = frozenset()
    spared: frozenset[Condition] = frozenset()
    cage: str | None = None
    cages: tuple[str, ...] = ()
    counted: Mapping[str, int] = field(default_factory=dict)
    uncertain: frozenset[str] = frozenset()
    found_done: bool = False
    last_cage: str | None = None
    paired: bool = False

    def with_clean_needle(self) -> Sitting:
        """The same once the needle was changed, or rinsed and disinfected."""
        return replace(self, foul_needle=False, told_to_change=False)
