"""A disk that is full, read-only, damaged or taken: all real, none pretended."""

from __future__ import annotations

import os
import resource
import shutil
import sqlite3
import tempfile
from contextlib import contextmanager
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.register.file import problem_with
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.errors import RegisterProblem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.conversation.entries import Entry
    from tests.adapters.conftest import Book

NOBODY = 65534


@contextmanager
def files_no_larger_than(size: int) -> Iterator[None]:
    """Let the kernel refuse any growth of a file over so many bytes, as a full disk would."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def no_special_rights() -> Iterator[None]:
    """Give up what lets the superuser write anything, where the tests run as one."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def readable(book: Book) -> Iterator[Path]:
    """A register that anybody may read and only its owner may write, in such a folder."""
    folder = Path(tempfile.mkdtemp())
    path = folder / "register.sqlite"
    with SqliteRegister(path) as register:
        register.append([book.note()])
    path.chmod(0o444)
    folder.chmod(0o555)
    yield path
    folder.chmod(0o755)
    shutil.rmtree(folder)


def fill(register: SqliteRegister, entry: Entry) -> RegisterProblem:
    for _ in range(1000):
        try:
            register.append([entry, entry])
        except RegisterProblem as problem:
            return problem
    pytest.fail("the register never filled up")


def test_a_disk_without_room_keeps_whole_calls_and_says_what_to_do(
    book: Book, register: SqliteRegister
):
    with files_no_larger_than(150_000):
        problem = fill(register, book.note("x" * 2000))

    assert "no room" in problem.problem
    assert "space" in problem.remedy
    kept = len(register.notes())
    assert kept > 0
    assert kept % 2 == 0


def test_the_register_works_again_once_there_is_room(book: Book, register: SqliteRegister):
    with files_no_larger_than(150_000):
        fill(register, book.note("x" * 2000))
    kept = len(register.notes())

    register.append([book.note("after")])

    assert len(register.notes()) == kept + 1


def test_a_new_register_without_room_is_a_problem_and_is_made_later(
    book: Book, register: SqliteRegister
):
    with files_no_larger_than(1000), pytest.raises(RegisterProblem):
        register.append([book.note()])

    register.append([book.note()])

    assert register.notes() == (book.note(),)


def test_sqlites_own_full_says_that_the_disk_is_full(tmp_path: Path):
    plain = sqlite3.connect(tmp_path / "full.sqlite")
    plain.execute("PRAGMA max_page_count = 2")
    plain.execute("CREATE TABLE t (x)")

    with pytest.raises(sqlite3.OperationalError) as caught:
        plain.execute("INSERT INTO t VALUES (zeroblob(100000))")

    plain.close()
    assert "disk is full" in problem_with(tmp_path, caught.value).problem


def test_a_read_only_register_is_read_and_refuses_to_be_written(book: Book, readable: Path):
    with no_special_rights(), SqliteRegister(readable) as register:
        with pytest.raises(RegisterProblem) as caught:
            register.append([book.note()])
        with pytest.raises(RegisterProblem):
            register.check()
        assert register.notes() == (book.note(),)

    assert "cannot be" in caught.value.problem
    assert caught.value.remedy


def test_a_read_only_file_in_a_writable_folder_refuses_to_be_written(book: Book, readable: Path):
    readable.parent.chmod(0o777)

    with no_special_rights(), SqliteRegister(readable) as register:
        with pytest.raises(RegisterProblem, match="read-only"):
            register.append([book.note()])
        assert register.notes() == (book.note(),)


def test_a_new_register_in_a_read_only_folder_is_refused(book: Book, readable: Path):
    register = SqliteRegister(readable.with_name("new.sqlite"))

    with no_special_rights(), pytest.raises(RegisterProblem, match="read-only"):
        register.append([book.note()])


def test_a_folder_in_place_of_the_register_is_refused(book: Book, register: SqliteRegister):
    register.path.mkdir()

    for act in (register.check, register.exchanges, lambda: register.append([book.note()])):
        with pytest.raises(RegisterProblem, match="cannot be opened"):
            act()


def test_a_missing_folder_is_refused_and_not_made(book: Book, tmp_path: Path):
    register = SqliteRegister(tmp_path / "gone" / "register.sqlite")

    with pytest.raises(RegisterProblem, match="cannot be opened"):
        register.append([book.note()])
    assert not (tmp_path / "gone").exists()


def test_a_file_that_is_no_database_is_left_as_it_is(book: Book, register: SqliteRegister):
    register.path.write_bytes(b"not a register at all\n" * 200)

    with pytest.raises(RegisterProblem, match="damaged, or is not a register"):
        register.append([book.note()])
    with pytest.raises(RegisterProblem, match="damaged, or is not a register"):
        register.doses()

    assert register.path.read_bytes() == b"not a register at all\n" * 200


def test_a_damaged_register_is_a_problem_when_read(book: Book, register: SqliteRegister):
    register.append([book.note("x" * 500) for _ in range(200)])
    register.close()
    whole = register.path.read_bytes()
    register.path.write_bytes(whole[:8192] + b"\xa5" * (len(whole) - 8192))

    with pytest.raises(RegisterProblem, match="damaged"):
        register.notes()


def test_another_programs_database_is_left_as_it_is(book: Book, register: SqliteRegister):
    other = sqlite3.connect(register.path)
    other.execute("CREATE TABLE theirs (x)")
    other.close()
    before = register.path.read_bytes()

    with pytest.raises(RegisterProblem, match="some other program"):
        register.append([book.note()])

    assert register.path.read_bytes() == before


def test_a_register_of_a_newer_dosewren_is_refused(book: Book, register: SqliteRegister):
    register.append([book.note()])
    register.close()
    plain = sqlite3.connect(register.path)
    plain.execute("PRAGMA user_version = 99")
    plain.close()

    with pytest.raises(RegisterProblem, match=r"newer dosewren \(version 99"):
        register.append([book.note()])


def test_a_register_held_by_another_program_is_refused_then_taken_up(
    book: Book, register: SqliteRegister
):
    register.append([book.note()])
    other = sqlite3.connect(register.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")

    with pytest.raises(RegisterProblem, match="in use by another program"):
        register.append([book.note()])

    other.execute("ROLLBACK")
    other.close()
    register.append([book.note()])
    assert len(register.notes()) == 2


def test_a_value_that_is_no_amount_is_refused_by_the_database(book: Book, register: SqliteRegister):
    for bad in ("NaN", "Infinity", "-1"):
        with pytest.raises(RegisterProblem, match="refused a row"):
            register.append([replace(book.dose("d1"), volume_ml=Decimal(bad))])
    assert register.doses() == ()


def test_a_time_without_its_offset_is_refused_by_the_database(book: Book, register: SqliteRegister):
    with pytest.raises(RegisterProblem, match="refused a row"):
        register.append([replace(book.note(), at=book.at().replace(tzinfo=None))])
