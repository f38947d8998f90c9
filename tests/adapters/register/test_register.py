from __future__ import annotations

import sqlite3
import stat
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta, timezone
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.register.file import open_for_writing
from assistant.adapters.register.rows import KeptDose
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.conversation.entries import COUNTS_AS_FULL, DoseEnd
from assistant.errors import RegisterProblem

if TYPE_CHECKING:
    from tests.adapters.conftest import Book


def test_every_kind_of_entry_comes_back_as_it_went_in(book: Book, register: SqliteRegister):
    register.append([book.exchange(), book.dose("d1"), book.end("d1"), book.note()])

    assert register.exchanges() == (book.exchange(),)
    assert register.doses() == (KeptDose(book.dose("d1"), DoseEnd.GIVEN, book.at(1)),)
    assert register.dose_ends() == (book.end("d1"),)
    assert register.notes() == (book.note(),)


def test_rows_outlive_the_register_that_wrote_them(book: Book, register: SqliteRegister):
    register.append([book.exchange()])
    register.close()

    with SqliteRegister(register.path) as again:
        assert again.exchanges() == (book.exchange(),)


def test_amounts_are_kept_as_decimal_text_with_their_unit_in_the_name(
    book: Book, register: SqliteRegister
):
    register.append([book.dose("d1")])
    register.close()

    plain = sqlite3.connect(register.path)
    row = plain.execute("SELECT weight_g, volume_ml, exact_ml, at FROM dose").fetchone()
    plain.close()
    assert row == ("95", "0.48", "0.475", "2026-03-01T08:30:00+10:00")


def test_a_register_that_is_not_there_yet_reads_as_empty_and_is_not_made(register: SqliteRegister):
    assert register.exchanges() == ()
    assert register.doses() == ()
    assert register.pending() == ()
    assert register.last_doses() == {}
    assert not register.path.exists()


def test_the_file_is_private_to_the_keeper(book: Book, register: SqliteRegister):
    register.append([book.note()])

    beside = sorted(register.path.parent.iterdir())
    assert [f.name for f in beside] == [f"register.sqlite{end}" for end in ("", "-shm", "-wal")]
    assert {stat.S_IMODE(f.stat().st_mode) for f in beside} == {0o600}


def test_the_file_is_written_ahead_and_fully_synchronous(register: SqliteRegister):
    connection = open_for_writing(register.path, 1)
    settings = ("journal_mode", "synchronous", "recursive_triggers", "foreign_keys")
    found = [connection.execute(f"PRAGMA {name}").fetchone()[0] for name in settings]
    connection.close()

    assert found == ["wal", 2, 1, 1]


def test_all_entries_of_a_call_are_written_or_none(book: Book, register: SqliteRegister):
    register.append([book.dose("d1")])

    with pytest.raises(RegisterProblem, match="no such dose"):
        register.append([book.note(), book.dose("d2"), book.end("d3")])

    assert [kept.said.dose_id for kept in register.doses()] == ["d1"]
    assert register.notes() == ()


def test_no_entries_leave_no_file(register: SqliteRegister):
    register.append([])

    assert not register.path.exists()


def test_the_last_few_rows_come_in_the_order_they_were_written(
    book: Book, register: SqliteRegister
):
    register.append([book.exchange(minute, f"phrase {minute}") for minute in range(5)])

    assert [row.heard for row in register.exchanges(last=2)] == ["phrase 3", "phrase 4"]
    assert register.exchanges(last=0) == ()


def test_pending_doses_are_those_without_an_end_newest_first(book: Book, register: SqliteRegister):
    register.append([book.dose(f"d{number}", number) for number in range(4)])
    register.append([book.end("d1"), book.end("d2", DoseEnd.NOT_GIVEN)])

    assert [kept.said.dose_id for kept in register.pending()] == ["d3", "d0"]


def test_the_last_end_of_a_dose_stands_and_the_first_is_kept(book: Book, register: SqliteRegister):
    register.append([book.dose("d1"), book.end("d1", DoseEnd.GIVEN, 9)])
    register.append([book.end("d1", DoseEnd.SCRATCHED, 5)])

    assert register.doses()[0].end is DoseEnd.SCRATCHED
    assert [row.end for row in register.dose_ends()] == [DoseEnd.GIVEN, DoseEnd.SCRATCHED]


@pytest.mark.parametrize("end", list(DoseEnd))
def test_a_bird_counts_as_dosed_after_the_ends_that_count_as_full(
    book: Book, register: SqliteRegister, end: DoseEnd
):
    register.append([book.dose("d1", bird="Pip"), book.end("d1", end)])

    assert (("Pip", "Marigold Demo") in register.last_doses()) is (end in COUNTS_AS_FULL)


def test_a_pending_dose_does_not_count_yet(book: Book, register: SqliteRegister):
    register.append([book.dose("d1", bird="Pip")])

    assert register.last_doses() == {}


def test_a_bird_without_a_name_has_no_last_dose(book: Book, register: SqliteRegister):
    register.append([book.dose("d1"), book.end("d1")])

    assert register.last_doses() == {}


def test_the_dose_before_a_scratched_one_is_the_last_again(book: Book, register: SqliteRegister):
    register.append([book.dose("d1", 1, "Pip"), book.end("d1", minute=2)])
    register.append([book.dose("d2", 3, "Pip"), book.end("d2", minute=4)])
    assert register.last_doses()["Pip", "Marigold Demo"].said.dose_id == "d2"

    register.append([book.end("d2", DoseEnd.SCRATCHED, 5)])

    last = register.last_doses()["Pip", "Marigold Demo"]
    assert (last.said.dose_id, last.ended_at) == ("d1", book.at(2))


def test_the_newest_dose_is_told_by_the_instant_not_by_the_clock_on_the_wall(
    book: Book, register: SqliteRegister
):
    # Half past eight at +10:00 is earlier than eight o'clock at +00:00 of the same day.
    later = book.at().replace(hour=8, minute=0, tzinfo=timezone(timedelta(0)))
    register.append([book.dose("d1", bird="Pip"), replace(book.end("d1"), at=later)])
    register.append([book.dose("d2", bird="Pip"), book.end("d2", minute=0)])

    assert register.last_doses()["Pip", "Marigold Demo"].said.dose_id == "d1"


def test_each_medicine_of_a_bird_has_its_own_last_dose(book: Book, register: SqliteRegister):
    thistle = replace(book.dose("d2", bird="Pip"), medicine="Thistle Demo")
    register.append([book.dose("d1", bird="Pip"), thistle, book.end("d1"), book.end("d2")])

    assert {key: kept.said.dose_id for key, kept in register.last_doses().items()} == {
        ("Pip", "Marigold Demo"): "d1",
        ("Pip", "Thistle Demo"): "d2",
    }


def test_half_a_surrogate_pair_is_kept_as_its_escape(book: Book, register: SqliteRegister):
    register.append([book.exchange(heard="pip \udc80")])

    assert register.exchanges()[0].heard == "pip \\udc80"


WRITER = """
import sys
from datetime import datetime, timezone
from pathlib import Path
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.conversation.entries import NoteEntry
with SqliteRegister(Path(sys.argv[1]), patience_s=60) as register:
    for number in range(20):
        entry = NoteEntry(datetime.now(timezone.utc), sys.argv[2], "count", str(number))
        register.append([entry, entry])
"""


def test_several_programs_open_and_write_a_new_register_at_once(register: SqliteRegister):
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(register.path), name])
        for name in "abcd"
    ]

    assert [writer.wait() for writer in writers] == [0, 0, 0, 0]
    notes = register.notes()
    for name in "abcd":
        written = [int(note.text) for note in notes if note.round_id == name]
        assert written == [number for number in range(20) for _ in range(2)]


def test_a_new_file_that_another_program_is_just_making_is_waited_for(tmp_path: Path, book: Book):
    path = tmp_path / "register.sqlite"
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with SqliteRegister(path, patience_s=60) as register, ThreadPoolExecutor() as pool:
        writing = pool.submit(register.append, [book.note()])
        # SQLite refuses the switch to WAL at once here, without asking anybody to wait.
        time.sleep(0.2)
        other.execute("ROLLBACK")
        other.close()

        writing.result()
        assert register.notes() == (book.note(),)


def test_a_register_moved_away_while_open_is_started_anew(book: Book, register: SqliteRegister):
    register.append([book.note("before")])
    register.path.rename(register.path.with_name("old.sqlite"))

    register.append([book.note("after")])

    assert [note.text for note in register.notes()] == ["after"]


def test_what_a_round_left_open_is_told_and_a_single_question_is_not(
    book: Book, register: SqliteRegister
):
    doses = [replace(book.dose(name), round_id=name) for name in ("asked", "ended", "open")]
    begun = [replace(book.note(), kind="round", round_id=name) for name in ("ended", "open")]
    register.append([*begun, *doses, book.end("ended")])
    assert register.left_open() == (doses[2],)
