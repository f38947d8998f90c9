"""The register in one SQLite file: rows are added, never changed."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import contextmanager
from decimal import Decimal
from typing import TYPE_CHECKING, Final, Self, TypeVar

from assistant.adapters.register import daily_questions as daily
from assistant.adapters.register import rows
from assistant.adapters.register import treatments as treatment_rows
from assistant.adapters.register.file import open_for_reading, open_for_writing, problem_with
from assistant.adapters.register.seal import seal
from assistant.conversation.state import Dosings
from assistant.errors import RegisterProblem
from assistant.stock.books import Book, Shelf
from assistant.stock.moves import MoveKind

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from datetime import date
    from pathlib import Path
    from types import TracebackType

    from assistant.conversation.entries import (
        DoseEndEntry,
        DoseEntry,
        DroppingsEntry,
        Entry,
        ExchangeEntry,
        NoteEntry,
    )
    from assistant.dosing.label import Interval
    from assistant.dosing.medicine import Medicine
    from assistant.records.due import Given, Repeat
    from assistant.records.treatment import Treatment
    from assistant.records.wanted import Wanted
    from assistant.stock.batch import Batch
    from assistant.stock.moves import Move

T = TypeVar("T")

PATIENCE_S: Final = 5.0
"""How long to wait for another program that is writing to the same register."""


ON_THE_SHELF: Final = 12
"""How many of the last batches a round may draw from: older pots are empty or out of date."""


class SqliteRegister:
    """The register at a path: opened at first use, kept open, opened anew after a failure.

    Every method raises RegisterProblem where the file cannot be used, and may be called from any
    thread.
    """

    def __init__(self, path: Path, patience_s: float = PATIENCE_S) -> None:
        self.path = path
        self._patience_s = patience_s
        self._kept: sqlite3.Connection | None = None
        self._opened: tuple[int, int] | None = None
        self._one_at_a_time = threading.RLock()

    def append(self, entries: Sequence[Entry]) -> None:
        """Write all entries or none, safe on disk when this returns; raises RegisterProblem."""
        if not entries:
            return
        with self._writing() as connection:
            for entry in entries:
                _add(connection, entry)

    def check(self) -> None:
        """Find out, without leaving a row, whether the register can be opened and locked to write.

        Raises RegisterProblem.  A full disk shows only when a row is written.
        """
        with self._writing():
            pass

    def exchanges(self, last: int | None = None) -> tuple[ExchangeEntry, ...]:
        """All exchanges in the order they were written, or the last few of them."""
        return self._read("exchange", rows.exchange, last)

    def doses(self, last: int | None = None) -> tuple[rows.KeptDose, ...]:
        """All doses in the order they were said, or the last few, each with the end that stands."""
        return self._read("dose_with_end", rows.kept_dose, last)

    def dose_ends(self) -> tuple[DoseEndEntry, ...]:
        """Every end that was written, in order, the superseded ones too."""
        return self._read("dose_end", rows.dose_end)

    def notes(self) -> tuple[NoteEntry, ...]:
        """All notes in the order they were written."""
        return self._read("note", rows.note)

    def pending(self) -> tuple[rows.KeptDose, ...]:
        """Doses that have no end yet, the newest first."""
        return tuple(rows.KeptDose(rows.dose(row)) for row in self._select(daily.OPEN_DOSES))

    def left_open(self) -> tuple[DoseEntry, ...]:
        """The pending doses of rounds that had been begun, in the order they were said."""
        kept = self._select(rows.LEFT_OPEN)
        return tuple(rows.kept_dose(row).said for row in kept)

    def last_doses(self) -> Mapping[tuple[str, str], rows.KeptDose]:
        """For each named bird and medicine, the newest dose after which the bird counts as dosed.

        Keyed by (bird, medicine) as they were written.  A dose scratched, not given or still
        pending does not count; the time that matters is `ended_at`.
        """
        kept = self._select(daily.LAST_FULL_DOSES)
        return {(row["bird"], row["medicine"]): rows.kept_dose(row) for row in kept}

    def treatments(self, wanted: Wanted) -> Iterator[Treatment]:
        """The treatments that are wanted, in the order they were said, as they now stand.

        They are read a helping at a time, so that a register of any size fits in the memory.
        """
        return treatment_rows.treatments(self._select, wanted)

    def names_in(self, column: str) -> frozenset[str]:
        """Every "bird" (name or ring), "cage", "medicine" or "round_id" that was ever written."""
        return treatment_rows.names_in(self._select, column)

    def asked_by_day(
        self, days: tuple[date, date], round_id: str | None = None
    ) -> tuple[tuple[date, str, int], ...]:
        """How often a dose was "answered" and how often it was "asked" instead, day by day."""
        return treatment_rows.asked_by_day(self._select, days, round_id)

    def windows(self, medicines: Sequence[Medicine], today: date) -> tuple[Repeat, ...]:
        """The windows for a next dose that are open today; the medicines are the keeper's."""
        return treatment_rows.open_windows(self._select, medicines, today)

    def given_since(self, since: date, intervals: Mapping[str, Interval]) -> tuple[Given, ...]:
        """The doses said since that day that count and open a window for the next one.

        `intervals`, by medicine, serve for doses of an earlier version, which hold none.
        """
        return treatment_rows.given_since(self._select, since, intervals)

    def droppings(self, last: int | None = None) -> tuple[DroppingsEntry, ...]:
        """All looks at droppings in the order they were written, or the last few."""
        return self._read("droppings", rows.droppings, last)

    def moves(self, last: int | None = None) -> tuple[Move, ...]:
        """All moves of stock in the order they were written, or the last few of them."""
        return self._read("stock_move", rows.move, last)

    def books(self, last: int | None = None) -> tuple[Book, ...]:
        """All batches in the order they were made, or the last few, each with what became of it."""
        return self._with_moves(self._read("batch", rows.batch, last))

    def books_of(self, batch_ids: Sequence[str]) -> tuple[Book, ...]:
        """These batches in the order they were made, each with what became of it."""
        marks = ", ".join("?" for _ in batch_ids)
        query = f"SELECT * FROM batch WHERE batch_id IN ({marks}) ORDER BY id"  # noqa: S608 - marks only
        return self._with_moves(tuple(map(rows.batch, self._select(query, *batch_ids))))

    def _with_moves(self, batches: Sequence[Batch]) -> tuple[Book, ...]:
        sums = {batch.batch_id: dict[MoveKind, Decimal]() for batch in batches}
        marks = ", ".join("?" for _ in batches)
        for row in self._select(daily.STOCK_SUMS.format(marks=marks), *sums):
            of_kind, kind = sums[row["batch_id"]], MoveKind(row["kind"])
            change = Decimal(row["change_ml"]) * row["times"]
            of_kind[kind] = of_kind.get(kind, Decimal(0)) + change
        return tuple(Book(batch, sums[batch.batch_id]) for batch in batches)

    def shelf_since(self, mark: int) -> Shelf:
        """The last batches with what became of them, where moves were written after the mark."""
        with self._one_at_a_time:
            found = self._select("SELECT coalesce(max(id), 0) AS newest FROM stock_move")
            newest = int(found[0]["newest"]) if found else 0
            return Shelf(newest, None if newest == mark else self.books(ON_THE_SHELF))

    def dosed_since(self, mark: int) -> Dosings:
        """The full doses that changed with the rows after the mark, by whichever program.

        A mark that is beyond the last row is of another file: all doses are told again.
        """
        with self._one_at_a_time:
            newest = self._newest_end()
            if newest == mark:
                return Dosings(mark, {})
            if not 0 < mark < newest:
                cages = rows.as_caged(self._select(rows.DOSES_OF_CAGES))
                return Dosings(newest, rows.as_dosed(self.last_doses().items()), cages)
            ended = self._select(rows.BIRDS_ENDED_SINCE, mark)
            birds = [(row["bird"], row["medicine"]) for row in ended]
            last = rows.as_dosed((bird, self._last_dose(*bird)) for bird in birds)
            return Dosings(newest, last, rows.as_caged(self._caged_since(mark)))

    def _caged_since(self, mark: int) -> list[sqlite3.Row]:
        cages = [row["cage"] for row in self._select(rows.CAGES_ENDED_SINCE, mark)]
        return [row for cage in cages for row in self._select(rows.DOSES_OF_CAGE, cage)]

    def _newest_end(self) -> int:
        found = self._select("SELECT coalesce(max(id), 0) AS newest FROM dose_end")
        return int(found[0]["newest"]) if found else 0

    def _last_dose(self, bird: str, medicine: str) -> rows.KeptDose | None:
        found = self._select(daily.LAST_FULL_DOSE_OF, bird, medicine)
        return rows.kept_dose(found[0]) if found else None

    def close(self) -> None:
        """Let go of the file; the next use opens it again."""
        with self._one_at_a_time:
            if self._kept is not None:
                self._kept.close()
                self._kept = None

    def __enter__(self) -> Self:
        """Return the register itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close the file."""
        self.close()

    def _read(
        self, table: str, make: Callable[[sqlite3.Row], T], last: int | None = None
    ) -> tuple[T, ...]:
        # A limit below 0 is none at all, by SQLite's rule.
        limit = -1 if last is None else max(last, 0)
        newest = self._select(f"SELECT * FROM {table} ORDER BY id DESC LIMIT ?", limit)  # noqa: S608 - our own names
        return tuple(make(row) for row in reversed(newest))

    def _select(self, query: str, *values: int | str) -> list[sqlite3.Row]:
        with self._one_at_a_time:
            if self._identity() is None:
                return []
            with self._readable() as connection:
                try:
                    return connection.execute(query, values).fetchall()
                except sqlite3.Error as error:
                    self.close()
                    raise problem_with(self.path, error) from error

    @contextmanager
    def _readable(self) -> Iterator[sqlite3.Connection]:
        try:
            connection = self._open()
        except RegisterProblem as problem:
            try:
                connection = open_for_reading(self.path, self._patience_s)
            except RegisterProblem:
                raise problem from None
            try:
                yield connection
            finally:
                connection.close()
        else:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with self._one_at_a_time:
            connection = self._open()
            try:
                connection.execute("BEGIN IMMEDIATE")
                yield connection
                connection.execute("COMMIT")
            except BaseException as error:
                # Closing takes back the open transaction, also where a ROLLBACK would fail.
                self.close()
                if isinstance(error, sqlite3.Error):
                    raise self._meaning(error) from error
                raise

    def _open(self) -> sqlite3.Connection:
        # A file that was moved away under us would go on taking rows that nobody finds again.
        if self._kept is not None and self._identity() != self._opened:
            self.close()
        if self._kept is None:
            self._kept = open_for_writing(self.path, self._patience_s)
            self._opened = self._identity()
        return self._kept

    def _identity(self) -> tuple[int, int] | None:
        try:
            found = self.path.stat()
        except OSError:
            return None
        return found.st_dev, found.st_ino

    def _meaning(self, error: sqlite3.Error) -> RegisterProblem:
        if not isinstance(error, sqlite3.IntegrityError):
            return problem_with(self.path, error)
        return RegisterProblem(
            f"The register {self.path} refused a row: {error}.",
            "Write this one on paper, and report it: a row that dosewren makes should fit.",
        )


def _add(connection: sqlite3.Connection, entry: Entry) -> None:
    table, row = rows.laid_out(entry)
    added = connection.execute(*rows.insertion(table, row)).lastrowid
    # an insert that did not raise has added a row
    seal(connection, table, added or 0, row)
