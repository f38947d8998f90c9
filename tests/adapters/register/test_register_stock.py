"""Batches and moves of stock in a real file."""

from __future__ import annotations

import sqlite3
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.stock.moves import MoveKind

if TYPE_CHECKING:
    from tests.adapters.conftest import Book


def test_batches_and_moves_come_back_as_they_went_in(book: Book, register: SqliteRegister):
    moves = (book.move(), book.move(MoveKind.KEPT, "-0.2008"), book.move(MoveKind.GIVEN, "-0.47"))
    register.append([book.batch(), *moves])
    register.close()

    (kept,) = register.books()
    assert kept.batch == book.batch()
    assert register.moves() == moves
    assert kept.left_ml == Decimal("49.3292")


def test_the_last_few_batches_come_with_their_own_moves(book: Book, register: SqliteRegister):
    for number in (1, 2, 3):
        register.append([book.batch(number), book.move(change=str(number), number=number)])
    assert [(one.batch.number, str(one.left_ml)) for one in register.books(last=2)] == [
        (2, "2"), (3, "3"),
    ]  # fmt: skip
    assert register.books(last=0) == ()


def test_a_register_without_stock_has_no_books(book: Book, register: SqliteRegister):
    assert register.books() == ()
    register.append([book.note()])
    assert (register.books(), register.moves()) == ((), ())


@pytest.mark.parametrize(
    ("kind", "change"),
    [
        *((kind, "1") for kind in ("kept", "surplus", "spilled", "thrown")),
        *(("made", "0"), ("made", "-1"), ("given", "1e3"), ("given", "--1"), ("given", "")),
        *(("given", "1-2"), ("sold", "-1")),
    ],
)
def test_the_file_itself_refuses_what_no_pot_can_do(
    book: Book, register: SqliteRegister, kind: str, change: str
):
    register.append([book.batch()])
    plain = sqlite3.connect(register.path, isolation_level=None)
    with pytest.raises(sqlite3.IntegrityError):
        plain.execute(
            "INSERT INTO stock_move (at, round_id, batch_id, kind, change_ml, note)"
            " VALUES ('2026-03-01T08:30:00+10:00', 'r1', '2026-03-01-1', ?, ?, '')",
            (kind, change),
        )
    plain.close()


@pytest.mark.parametrize(
    ("batch", "dose", "says"), [("nothing", None, "no such batch"), (1, "d9", "no such dose")]
)
def test_a_move_needs_its_batch_and_its_dose_even_where_foreign_keys_are_off(
    book: Book, register: SqliteRegister, batch: object, dose: str | None, says: str
):
    register.append([book.batch()])
    plain = sqlite3.connect(register.path, isolation_level=None)
    with pytest.raises(sqlite3.IntegrityError, match=says):
        plain.execute(
            "INSERT INTO stock_move (at, round_id, batch_id, kind, change_ml, dose_id, note)"
            " VALUES ('2026-03-01T08:30:00+10:00', 'r1', ?, 'given', '-1', ?, '')",
            (f"2026-03-01-{batch}", dose),
        )
    plain.close()
