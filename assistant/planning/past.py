"""What birds had before a round: a sheet on the wall is no way around the guard.

dosed before its day ─────────────── refused, with the day
another medicine on the day ──────── to be asked about in the round
far lighter or heavier than before ─ to be asked about, as in a conversation
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from assistant.dosing.days import day
from assistant.dosing.limits import far_from_before
from assistant.dosing.medicine import Medicine
from assistant.dosing.quantities import decimal_text, rounded_text
from assistant.dosing.refusal import Reason, Refusal
from assistant.planning.birds import ListedBird


@dataclass(frozen=True, slots=True)
class Had:
    """The last dose of a bird that counts as full: its day, mL, and the bird's weight in grams."""

    on: date
    volume_ml: Decimal
    grams: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Past:
    """The last doses of each bird by name, by medicine, as they stand on the day of a round."""

    day: date
    had: Mapping[str, Mapping[str, Had]] = field(default_factory=dict)

    def not_due(self, bird: ListedBird, medicine: Medicine) -> Refusal | None:
        """Why this bird must not have the medicine on that day yet; None where it may."""
        last = self.had.get(bird.name, {}).get(medicine.name)
        if last is None or self.day >= (due := medicine.due_from(last.on)):
            return None
        said = f"{_words(last, medicine.name)}. The next is due from {day(due)}."
        return Refusal(Reason.ALREADY_DOSED, said)

    def to_ask(self, bird: ListedBird, medicine: Medicine) -> str | None:
        """What a conversation will ask about this bird; None where it has nothing to ask."""
        doses = self.had.get(bird.name, {})
        for name, had in doses.items():
            if name != medicine.name and had.on == self.day:
                return f"{_words(had, name)}. A second medicine on one day is asked about."
        weighed = [had for had in doses.values() if had.grams]
        last = max(weighed, key=lambda had: had.on, default=None)
        if last is None or last.grams is None or bird.grams is None:
            return None
        if far_from_before(bird.grams, last.grams) is None:
            return None
        before = f"{rounded_text(last.grams, 1)} grams on {day(last.on)}"
        return f"{rounded_text(bird.grams, 1)} grams? It was {before}. Weigh it again."


def _words(had: Had, medicine: str) -> str:
    return f"It had {decimal_text(had.volume_ml)} mL of {medicine} on {day(had.on)}"
