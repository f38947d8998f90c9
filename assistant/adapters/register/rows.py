"""How each entry of the register lies in its table, there and back."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from assistant.adapters.register.seal import Cell
from assistant.conversation.entries import (
    COUNTS_AS_FULL,
    CorrectionEntry,
    DoseEnd,
    DoseEndEntry,
    DoseEntry,
    DroppingsEntry,
    Entry,
    ExchangeEntry,
    NoteEntry,
    TreatmentEntry,
)
from assistant.conversation.state import Caged, Dosed
from assistant.stock.batch import Batch
from assistant.stock.moves import Move, MoveKind

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable, Mapping

TABLES: Final[dict[type[Entry], str]] = {
    ExchangeEntry: "exchange",
    DoseEntry: "dose",
    DoseEndEntry: "dose_end",
    NoteEntry: "note",
    Batch: "batch",
    Move: "stock_move",
    TreatmentEntry: "treatment",
    CorrectionEntry: "correction",
    DroppingsEntry: "droppings",
}

_COLUMN_OF: Final = {"grams": "weight_g", "end": "ending"}
"""Fields whose column is named otherwise: after its unit, or around a word of SQL."""


@dataclass(frozen=True, slots=True)
class KeptDose:
    """A dose as the register holds it: what was said, and the end that stands, if there is one."""

    said: DoseEntry
    end: DoseEnd | None = None
    ended_at: datetime | None = None
    note: str = ""


BIRDS_ENDED_SINCE: Final = """
    SELECT DISTINCT dose.bird, dose.medicine
    FROM dose_end JOIN dose USING (dose_id)
    WHERE dose_end.id > ? AND dose.bird IS NOT NULL
"""
LEFT_OPEN: Final = """
    SELECT * FROM dose_with_end WHERE ending IS NULL
    AND round_id IN (SELECT round_id FROM note WHERE kind = 'round') ORDER BY id
"""


CAGES_ENDED_SINCE: Final = """
    SELECT DISTINCT treatment.cage
    FROM dose_end JOIN treatment USING (dose_id)
    WHERE dose_end.id > ? AND treatment.cage IS NOT NULL
"""

DOSES_OF_CAGE: Final = """
    SELECT kept.cage, dose.medicine, dose.ending, dose.ended_at
    FROM (
        SELECT dose_id, cage FROM treatment WHERE cage = ? ORDER BY id DESC LIMIT 500
    ) AS kept JOIN dose_with_end AS dose USING (dose_id)
"""
DOSES_OF_CAGES: Final = """
    SELECT kept.cage, dose.medicine, dose.ending, dose.ended_at
    FROM (
        SELECT dose_id, cage FROM treatment
        WHERE cage IS NOT NULL AND id > (SELECT max(id) FROM treatment) - 5000
    ) AS kept JOIN dose_with_end AS dose USING (dose_id)
"""
"""The newest doses of one cage, or of all: more than one aviary gives between two treatments, and
no more than an old register can tell of at once."""


def as_caged(rows: Iterable[sqlite3.Row]) -> dict[tuple[str, str], Caged | None]:
    """How many were done on the last day of each (cage, medicine); None where no dose counts."""
    times: dict[tuple[str, str], list[datetime]] = {}
    for row in rows:
        ended = times.setdefault((row["cage"], row["medicine"]), [])
        if row["ending"] is not None and DoseEnd(row["ending"]) in COUNTS_AS_FULL:
            ended.append(datetime.fromisoformat(row["ended_at"]))
    return {key: _last_day(ended) if ended else None for key, ended in times.items()}


def _last_day(ended: list[datetime]) -> Caged:
    last = max(ended)
    return Caged(last, sum(one.date() == last.date() for one in ended))


def as_dosed(
    last: Iterable[tuple[tuple[str, str], KeptDose | None]],
) -> dict[tuple[str, str], Dosed | None]:
    """The last full doses as the conversation knows them."""
    return {
        bird: None
        if kept is None
        else Dosed(kept.ended_at or kept.said.at, kept.said.volume_ml, kept.said.grams)
        for bird, kept in last
    }


def laid_out(entry: Entry) -> tuple[str, dict[str, Cell]]:
    """The entry's table, and its row by column."""
    names = [field.name for field in fields(entry)]
    row = {_COLUMN_OF.get(name, name): _cell(getattr(entry, name)) for name in names}
    return TABLES[type(entry)], row


def insertion(table: str, row: Mapping[str, Cell]) -> tuple[str, list[Cell]]:
    """Write the SQL that adds the row; give it with its values."""
    columns, marks = ", ".join(row), ", ".join("?" for _ in row)
    return f"INSERT INTO {table} ({columns}) VALUES ({marks})", list(row.values())  # noqa: S608 - our own names


def _cell(value: object) -> Cell:
    match value:
        case None:
            return None
        case bool():
            return int(value)
        case int() | float():
            return value
        case date():
            return value.isoformat()
        case Decimal():
            return format(value, "f")
        case _:
            # Half a surrogate pair can be typed but not stored; its escape can be read at least.
            return str(value).encode("utf-8", "backslashreplace").decode("utf-8")


def exchange(row: sqlite3.Row) -> ExchangeEntry:
    """Read back an exchange."""
    return ExchangeEntry(
        at=datetime.fromisoformat(row["at"]),
        round_id=row["round_id"],
        channel=row["channel"],
        engine=row["engine"],
        heard=row["heard"],
        confidence=row["confidence"],
        status=row["status"],
        intent=row["intent"],
        request=row["request"],
        reason=row["reason"],
        reply=row["reply"],
    )


def dose(row: sqlite3.Row) -> DoseEntry:
    """Read back a dose as it was said."""
    return DoseEntry(
        at=datetime.fromisoformat(row["at"]),
        round_id=row["round_id"],
        dose_id=row["dose_id"],
        species=row["species"],
        bird=row["bird"],
        grams=Decimal(row["weight_g"]),
        medicine=row["medicine"],
        strength=row["strength"],
        dilution=row["dilution"],
        volume_ml=Decimal(row["volume_ml"]),
        exact_ml=Decimal(row["exact_ml"]),
        syringe=row["syringe"],
        needle=row["needle"],
        needle_state=row["needle_state"],
        band=row["band"],
        fictional=bool(row["fictional"]),
    )


def kept_dose(row: sqlite3.Row) -> KeptDose:
    """Read back a dose and the end that stands from a row of `dose_with_end`."""
    if row["ending"] is None:
        return KeptDose(dose(row))
    ended_at = datetime.fromisoformat(row["ended_at"])
    return KeptDose(dose(row), DoseEnd(row["ending"]), ended_at, row["note"])


def note(row: sqlite3.Row) -> NoteEntry:
    """Read back a note."""
    return NoteEntry(
        at=datetime.fromisoformat(row["at"]),
        round_id=row["round_id"],
        kind=row["kind"],
        text=row["text"],
    )


def dose_end(row: sqlite3.Row) -> DoseEndEntry:
    """Read back the end of a dose, whether or not it still stands."""
    return DoseEndEntry(
        at=datetime.fromisoformat(row["at"]),
        round_id=row["round_id"],
        dose_id=row["dose_id"],
        end=DoseEnd(row["ending"]),
        note=row["note"],
    )


def batch(row: sqlite3.Row) -> Batch:
    """Read back a batch."""
    expires = row["product_expires"]
    return Batch(
        at=datetime.fromisoformat(row["at"]),
        batch_id=row["batch_id"],
        number=row["number"],
        medicine=row["medicine"],
        strength=row["strength"],
        dilution=row["dilution"],
        product_ml=Decimal(row["product_ml"]),
        water_ml=Decimal(row["water_ml"]),
        discard_by=datetime.fromisoformat(row["discard_by"]),
        product_batch=row["product_batch"],
        product_expires=date.fromisoformat(expires) if expires else None,
        pot=row["pot"],
        fictional=bool(row["fictional"]),
    )


def move(row: sqlite3.Row) -> Move:
    """Read back a move of stock."""
    return Move(
        at=datetime.fromisoformat(row["at"]),
        round_id=row["round_id"],
        batch_id=row["batch_id"],
        kind=MoveKind(row["kind"]),
        change_ml=Decimal(row["change_ml"]),
        dose_id=row["dose_id"],
        note=row["note"],
    )


def droppings(row: sqlite3.Row) -> DroppingsEntry:
    """Read back a look at droppings."""
    return DroppingsEntry(
        at=datetime.fromisoformat(row["at"]),
        round_id=row["round_id"],
        whose=row["whose"],
        found=row["found"],
    )
