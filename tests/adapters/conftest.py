"""Entries of an invented round, for the tests of the register and of what reads it."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

from assistant.adapters.home.folder import Home
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.terminal.confirming import Desk
from assistant.conversation.entries import (
    CorrectionEntry,
    DoseEnd,
    DoseEndEntry,
    DoseEntry,
    DroppingsEntry,
    ExchangeEntry,
    NoteEntry,
    TreatmentEntry,
)
from assistant.stock.batch import Batch
from assistant.stock.moves import Move, MoveKind

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

MORNING = datetime(2026, 3, 1, 8, 30, tzinfo=timezone(timedelta(hours=10)))


@dataclass(frozen=True)
class Book:
    """Makes entries of one round, minutes apart."""

    def at(self, minute: int = 0) -> datetime:
        """A minute of the morning."""
        return MORNING + timedelta(minutes=minute)

    def exchange(self, minute: int = 0, heard: str = "cockatiel ninety five") -> ExchangeEntry:
        """A dose asked for and answered."""
        return ExchangeEntry(
            at=self.at(minute),
            round_id="r1",
            channel="voice",
            engine="an engine",
            heard=heard,
            confidence=0.75,
            status="answered",
            intent="dose",
            request='{"species": "Cockatiel", "grams": 95}',
            reason=None,
            reply="Cockatiel, 95 grams: 0.48 mL.",
        )

    def dose(self, dose_id: str, minute: int = 0, bird: str | None = None) -> DoseEntry:
        """A dose said."""
        return DoseEntry(
            at=self.at(minute),
            round_id="r1",
            dose_id=dose_id,
            species="Cockatiel",
            bird=bird,
            grams=Decimal(95),
            medicine="Marigold Demo",
            strength="25 mg/mL",
            dilution="1 + 9",
            volume_ml=Decimal("0.48"),
            exact_ml=Decimal("0.475"),
            syringe="1 mL syringe",
            needle="14 gauge, 75 mm",
            needle_state="dry",
            band=None,
            fictional=True,
        )

    def end(self, dose_id: str, end: DoseEnd = DoseEnd.GIVEN, minute: int = 1) -> DoseEndEntry:
        """A dose's end."""
        return DoseEndEntry(self.at(minute), "r1", dose_id, end)

    def batch(self, number: int = 1, minute: int = 0) -> Batch:
        """A batch made up."""
        return Batch(
            at=self.at(minute),
            batch_id=f"2026-03-01-{number}",
            number=number,
            medicine="Marigold Demo",
            strength="25 mg per mL, diluted 1 in 10",
            dilution="1 part product and 9 parts water, 1 in 10",
            product_ml=Decimal(5),
            water_ml=Decimal(45),
            discard_by=self.at(minute) + timedelta(days=2),
            product_batch="LOT 7",
            product_expires=date(2027, 6, 30),
            pot="the blue jar",
            fictional=True,
        )

    def move(self, kind: MoveKind = MoveKind.MADE, change: str = "50", number: int = 1) -> Move:
        """A move of that batch."""
        return Move(self.at(), "r1", f"2026-03-01-{number}", kind, Decimal(change))

    def treatment(self, dose_id: str, minute: int = 0, **facts: Any) -> TreatmentEntry:  # noqa: ANN401 - each test names a fact
        """What the record holds beside a dose: only what cannot be missing, and the facts given."""
        unstated = dict.fromkeys(field.name for field in fields(TreatmentEntry))
        known: dict[str, Any] = {
            "at": self.at(minute),
            "round_id": "r1",
            "dose_id": dose_id,
            "keeper": "Demo Keeper",
            "birds": 1,
            "active": "demosol (invented)",
            "product": Decimal(1),
            "water": Decimal(9),
            "label_dose": "0.5 mL/kg",
            "route": "crop",
        }
        return TreatmentEntry(**{**unstated, **known, **facts})

    def correction(
        self, dose_id: str, fact: str = "grams", was: str | None = "95", now: str | None = "85"
    ) -> CorrectionEntry:
        """A fact put right."""
        return CorrectionEntry(self.at(2), "r1", dose_id, fact, was, now)

    def droppings(self, found: str = "no eggs seen", minute: int = 0) -> DroppingsEntry:
        """Droppings looked at."""
        return DroppingsEntry(self.at(minute), "r1", "all", found)

    def note(self, text: str = "round begun", minute: int = 0) -> NoteEntry:
        """A note."""
        return NoteEntry(self.at(minute), "r1", "round", text)


@dataclass
class Piped:
    """A keeper whose answers are known beforehand, and who notes what is asked and said."""

    answers: list[str]
    asked: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def ask(self, question: str, default: str) -> str:
        """The next answer, or the default where it is empty."""
        self.asked.append(question)
        if not self.answers:
            raise EOFError
        return self.answers.pop(0) or default

    def say(self, text: str) -> None:
        """Note the text."""
        self.said.append(text)

    @property
    def heard(self) -> str:
        """All that was said."""
        return "\n".join(self.said)


class StoppedClock:
    """A clock that stands at half past eight in the morning."""

    def now(self) -> datetime:
        """Half past eight."""
        return MORNING


class Desks:
    """Makes desks at which a home is set up and its medicines are confirmed."""

    def __init__(self, home: Home, register: SqliteRegister) -> None:
        self.home = home
        self.register = register
        self.keeper = Piped([])

    def answered(self, *answers: str) -> Desk:
        """A desk with a keeper who gives these answers."""
        self.keeper = Piped(list(answers))
        return Desk(self.home, self.keeper, self.register, StoppedClock())


@pytest.fixture
def desks(home: Path, register: SqliteRegister) -> Desks:
    """Give a maker of desks for a home that does not exist yet."""
    return Desks(Home(home), register)


@pytest.fixture
def book() -> Book:
    """Give a maker of entries."""
    return Book()


@pytest.fixture
def register(tmp_path: Path) -> Iterator[SqliteRegister]:
    """Give a register that does not exist yet and is closed after the test."""
    with SqliteRegister(tmp_path / "register.sqlite", patience_s=0.2) as opened:
        yield opened
