"""A register that keeps nothing: for rehearsals, in which no bird is dosed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from assistant.conversation.entries import DoseEntry, Entry
from assistant.conversation.state import Dosings
from assistant.dosing.medicine import Medicine
from assistant.records.due import Repeat
from assistant.stock.books import Shelf


class NoRegister:
    """Lets every entry go."""

    def append(self, entries: Sequence[Entry]) -> None:
        """Let the entries go."""

    def dosed_since(self, mark: int) -> Dosings:
        """No bird was dosed."""
        return Dosings(mark, {})

    def left_open(self) -> Sequence[DoseEntry]:
        """No dose was said."""
        return ()

    def windows(self, medicines: Sequence[Medicine], today: date) -> tuple[Repeat, ...]:  # noqa: ARG002 - the port's
        """Nothing was given, so nothing is due."""
        return ()

    def shelf_since(self, mark: int) -> Shelf:
        """There is no stock."""
        return Shelf(mark)
