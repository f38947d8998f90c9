"""A round on a real register: its moves are rows, and what others write is seen at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.errors import RegisterProblem
from assistant.language.heard import Heard
from assistant.session import Session
from assistant.stock.moves import MoveKind
from tests.adapters.conftest import StoppedClock
from tests.talk_scene import setting

if TYPE_CHECKING:
    from tests.adapters.conftest import Book


@pytest.fixture
def other(register: SqliteRegister) -> Iterator[SqliteRegister]:
    """Give the same register, opened by another program."""
    with SqliteRegister(register.path) as opened:
        yield opened


def session(register: SqliteRegister) -> Session:
    return Session(setting(), register, StoppedClock())


def say(one: Session, *phrases: str) -> str:
    return [one.hear(Heard(phrase)).reply.said for phrase in phrases][-1]


def left(register: SqliteRegister) -> Decimal:
    return register.books()[-1].left_ml


def test_a_round_begins_with_the_batch_that_is_in_the_register(
    book: Book, register: SqliteRegister
):
    register.append([book.batch(), book.move()])
    assert "Batch 1, about 50 mL left." in session(register).greeting


def test_each_dose_is_off_the_books_with_the_same_write(book: Book, register: SqliteRegister):
    register.append([book.batch(), book.move()])
    one = session(register)
    say(one, "yes", "cockatiel 95", "given", "cockatiel 90", "given")
    assert left(register) == 50 - Decimal("0.68") - Decimal("0.45")
    given = [move.dose_id for move in register.moves() if move.kind is MoveKind.GIVEN]
    assert given == [kept.said.dose_id for kept in register.doses()]


def test_a_batch_that_another_program_makes_in_the_round_can_be_taken(
    book: Book, register: SqliteRegister, other: SqliteRegister
):
    one = session(register)
    assert "I know of no batch 1" in say(one, "yes", "batch one")
    other.append([book.batch(), book.move()])
    assert say(one, "batch one").startswith("Batch 1, about 50 mL")


def test_what_another_program_measures_is_what_is_left(
    book: Book, register: SqliteRegister, other: SqliteRegister
):
    register.append([book.batch(), book.move()])
    one = session(register)
    say(one, "yes", "cockatiel 95", "given")
    other.append([book.move(MoveKind.MEASURED, "-9.32")])
    assert say(one, "how much is left").startswith("About 40 mL;")
    assert left(register) == 40


def test_a_restart_goes_on_with_what_is_left(book: Book, register: SqliteRegister):
    register.append([book.batch(), book.move()])
    say(session(register), "yes", "galah 300", "given", "pot holds 20")
    assert say(session(register), "how much is left") == "About 20 mL."


class Breaking(SqliteRegister):
    """A register that can be put out of order."""

    broken = False

    def append(self, entries: object) -> None:
        """Write, or fail as a full disk does."""
        if self.broken:
            raise RegisterProblem("the disk is full")
        super().append(entries)  # type: ignore[arg-type]  # handed on as it came


def test_what_could_not_be_written_is_not_in_the_books(book: Book, register: SqliteRegister):
    breaking = Breaking(register.path)
    breaking.append([book.batch(), book.move()])
    one = session(breaking)
    say(one, "yes", "cockatiel 95")
    breaking.broken = True
    assert "Not written down" in say(one, "given")
    say(one, "pot holds 20")
    breaking.broken = False
    assert say(one, "how much is left").startswith("About 49 mL")
    say(one, "given")
    assert left(register) == 50 - Decimal("0.68")
    breaking.close()


def test_a_batch_of_another_strength_is_offered_to_nobody(book: Book, register: SqliteRegister):
    weaker = replace(book.batch(), strength="25 mg per mL, diluted 1 in 20")
    register.append([weaker, book.move()])
    assert "atch" not in session(register).greeting
