"""Full doses that another program wrote: told once, cheaply, and put right when scratched."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.conversation.entries import DoseEnd
from assistant.conversation.state import Dosed, Dosings

if TYPE_CHECKING:
    from pathlib import Path

    from tests.adapters.conftest import Book

PEPPER = ("Pepper", "Marigold Demo")
SAFFRON = ("Saffron", "Marigold Demo")


@pytest.fixture
def other(register: SqliteRegister) -> Iterator[SqliteRegister]:
    """The same file, as another program has it open."""
    with SqliteRegister(register.path) as one:
        yield one


def test_a_register_that_is_not_there_yet_tells_of_none(tmp_path: Path):
    assert SqliteRegister(tmp_path / "none.sqlite").dosed_since(0) == Dosings(0, {})
    assert not (tmp_path / "none.sqlite").exists()


def test_what_another_program_wrote_is_told_once(
    book: Book, register: SqliteRegister, other: SqliteRegister
):
    register.append([book.dose("d1", bird="Pepper"), book.end("d1", minute=3)])
    first = register.dosed_since(0)
    assert first.last == {PEPPER: Dosed(book.at(3), Decimal("0.48"), Decimal(95))}
    other.append([book.dose("d2", bird="Saffron"), book.end("d2", DoseEnd.PART_GIVEN, minute=5)])
    second = register.dosed_since(first.mark)
    assert second.last == {SAFFRON: Dosed(book.at(5), Decimal("0.48"), Decimal(95))}
    assert register.dosed_since(second.mark) == Dosings(second.mark, {})


def test_a_scratched_dose_gives_way_to_the_one_before_it_or_to_none(
    book: Book, register: SqliteRegister, other: SqliteRegister
):
    for number in (1, 2):
        other.append(
            [book.dose(f"d{number}", bird="Pepper"), book.end(f"d{number}", minute=number)]
        )
    mark = register.dosed_since(0).mark
    other.append([book.end("d2", DoseEnd.SCRATCHED, minute=3)])
    after = register.dosed_since(mark)
    assert after.last == {PEPPER: Dosed(book.at(1), Decimal("0.48"), Decimal(95))}
    other.append([book.end("d1", DoseEnd.SCRATCHED, minute=4)])
    assert register.dosed_since(after.mark).last == {PEPPER: None}


def test_birds_without_a_name_cannot_be_told_apart(
    book: Book, register: SqliteRegister, other: SqliteRegister
):
    register.append([book.dose("d1", bird="Pepper"), book.end("d1")])
    mark = register.dosed_since(0).mark
    other.append([book.dose("d2"), book.end("d2")])
    assert register.dosed_since(mark).last == {}


def test_a_mark_of_a_file_that_is_gone_tells_of_all(book: Book, register: SqliteRegister):
    register.append([book.dose("d1", bird="Pepper"), book.end("d1")])
    assert register.dosed_since(99).last.keys() == {PEPPER}


def test_looking_for_what_is_new_reads_no_more_than_the_birds_that_changed(
    book: Book, register: SqliteRegister
):
    for number in range(50):
        register.append([book.dose(f"d{number}", bird=f"bird {number}"), book.end(f"d{number}")])
    mark = register.dosed_since(0).mark
    register.append([book.dose("new", bird="Pepper"), book.end("new")])
    assert list(register.dosed_since(mark).last) == [PEPPER]
