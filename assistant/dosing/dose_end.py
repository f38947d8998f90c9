"""How a dose that was said can end, and which ends count."""

from __future__ import annotations

from enum import StrEnum


class DoseEnd(StrEnum):
    """How a dose that was said came to its end."""

    GIVEN = "given"
    PART_GIVEN = "part_given"
    NOT_GIVEN = "not_given"
    NOT_KNOWN = "not_known"
    SCRATCHED = "scratched"

    @property
    def words(self) -> str:
        """The end as it is said and printed: "part given"."""
        return self.value.replace("_", " ")


COUNTS_AS_FULL = frozenset({DoseEnd.GIVEN, DoseEnd.PART_GIVEN, DoseEnd.NOT_KNOWN})
"""Ends after which the bird counts as dosed, for every guard."""
