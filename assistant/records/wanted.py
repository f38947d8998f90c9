"""Which treatments are wanted: between two days, of a bird, a cage, a medicine or a round."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from assistant.records.treatment import Treatment


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to choose by; what is None does not matter.

    `since` and `until` are days by the keeper's own calendar, both included, of when a dose was
    said.  `bird` is a name or a ring.  `last` keeps only so many of the newest.
    """

    since: date | None = None
    until: date | None = None
    bird: str | None = None
    cage: str | None = None
    medicine: str | None = None
    round_id: str | None = None
    last: int | None = None

    def holds(self, treatment: Treatment) -> bool:
        """Whether a treatment as it now stands is wanted: a correction may have moved it."""
        patient = treatment.patient
        of_bird = self.bird is None or _same(self.bird, patient.bird, patient.ring)
        return of_bird and (self.cage is None or _same(self.cage, patient.cage))


def _same(wanted: str, *found: str | None) -> bool:
    return wanted.casefold() in {one.casefold() for one in found if one is not None}
