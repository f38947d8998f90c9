"""Treatments as they are read from the register: which rows, and what they mean.

Every query asks first for the rows of some days, one bird, one cage or one round, by an index, so
that a question of the day does not read a register of many years.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Final, TypeVar

from assistant.dosing.dose_end import COUNTS_AS_FULL, DoseEnd
from assistant.dosing.label import Interval
from assistant.dosing.medicine import Medicine
from assistant.records.due import Given, Repeat, Whose, look_back_days, repeats
from assistant.records.treatment import (
    Correction,
    Ended,
    Patient,
    Product,
    Rules,
    Treatment,
    folded,
)
from assistant.records.wanted import Wanted

if TYPE_CHECKING:
    import sqlite3

T = TypeVar("T")
Select = Callable[..., "Sequence[sqlite3.Row]"]

_LEAST_LOOK_BACK_DAYS: Final = 60
"""How far doses are looked back at, also for a medicine that the file has no longer."""

_HELPING: Final = 500
"""How many wide rows are read at once."""

_SAID: Final = """
    -- of two columns with one name the first is meant: that of the dose, which is never missing
    SELECT dose.*, treatment.*, dose.at AS said_at, batch.batch_id AS stock_batch,
           batch.product_batch AS stock_product_batch, batch.product_expires AS stock_expires
    FROM dose
    LEFT JOIN treatment ON treatment.dose_id = dose.dose_id
    LEFT JOIN batch ON batch.batch_id = (
        SELECT batch_id FROM stock_move
        WHERE stock_move.dose_id = dose.dose_id ORDER BY stock_move.id LIMIT 1)
    WHERE dose.id IN ({marks}) ORDER BY dose.id
"""
_GIVEN: Final = """
    SELECT dose.dose_id, dose.species, dose.bird, dose.medicine, dose.fictional,
           dose_end.at AS ended_at, ring, cage, birds, earliest_days, latest_days, course_doses,
           treatment.dose_id IS NOT NULL AS is_recorded
    FROM dose
    JOIN dose_end ON dose_end.id = (
        SELECT max(id) FROM dose_end AS e WHERE e.dose_id = dose.dose_id)
    LEFT JOIN treatment ON treatment.dose_id = dose.dose_id
    WHERE dose.at >= ? AND dose_end.ending IN ({marks})
"""
_OF_BIRD: Final = """dose.dose_id IN (
    SELECT dose_id FROM dose WHERE bird = ?
    UNION ALL SELECT dose_id FROM treatment WHERE ring = ?
    UNION ALL SELECT dose_id FROM correction WHERE fact IN ('bird', 'ring') AND now = ?)"""
_OF_CAGE: Final = """dose.dose_id IN (
    SELECT dose_id FROM treatment WHERE cage = ?
    UNION ALL SELECT dose_id FROM correction WHERE fact = 'cage' AND now = ?)"""

_ASKED: Final = """
    SELECT substr(at, 1, 10) AS day, status, count(*) AS many FROM exchange
    WHERE at >= ? AND at < ? AND (? = '' OR round_id = ?)
      AND status IN ('answered', 'asked') AND coalesce(reason, '') <> 'round'
    GROUP BY 1, 2 ORDER BY 1, 2"""
_NAMES: Final = {
    "bird": """
        SELECT bird AS name FROM dose WHERE bird IS NOT NULL
        UNION SELECT ring FROM treatment WHERE ring IS NOT NULL
        UNION SELECT now FROM correction WHERE fact IN ('bird', 'ring')""",
    "cage": """
        SELECT cage AS name FROM treatment WHERE cage IS NOT NULL
        UNION SELECT now FROM correction WHERE fact = 'cage'""",
    "medicine": "SELECT DISTINCT medicine AS name FROM dose",
    "round_id": "SELECT DISTINCT round_id AS name FROM dose",
}


def treatments(select: Select, wanted: Wanted) -> Iterator[Treatment]:
    """The treatments that are wanted, in the order they were said, as they now stand."""
    for some in _helpings(_chosen(select, wanted)):
        for treatment in _folded(select, some):
            if wanted.holds(treatment):
                yield treatment


def names_in(select: Select, column: str) -> frozenset[str]:
    """Every bird (by name or ring), cage, medicine or round_id that the register ever saw."""
    found = select(_NAMES[column])
    return frozenset(row["name"] for row in found if row["name"] is not None)


def asked_by_day(
    select: Select, days: tuple[date, date], round_id: str | None
) -> tuple[tuple[date, str, int], ...]:
    """For each day from the first to the last: (day, "answered" or "asked", how many).

    The question about the round itself comes before any bird, and does not count.
    """
    first, after = days[0].isoformat(), (days[1] + timedelta(days=1)).isoformat()
    found = select(_ASKED, first, after, round_id or "", round_id or "")
    return tuple((date.fromisoformat(row["day"]), row["status"], row["many"]) for row in found)


def open_windows(select: Select, medicines: Iterable[Medicine], today: date) -> tuple[Repeat, ...]:
    """The windows for a next dose that are open today, from as few rows as tell them."""
    intervals = {one.name: one.interval for one in medicines if one.interval is not None}
    stated = ((one.latest_days, one.course_doses) for one in intervals.values())
    back = max(look_back_days(stated), _LEAST_LOOK_BACK_DAYS)
    return repeats(given_since(select, today - timedelta(days=back), intervals))


def given_since(
    select: Select, since: date, intervals: Mapping[str, Interval]
) -> tuple[Given, ...]:
    """The doses said on that day or later that count and open a window for the next one.

    A dose of an earlier version has no window of its own: that of the medicine's file is taken.
    """
    counting = sorted(COUNTS_AS_FULL)
    found = select(_GIVEN.format(marks=_marks(counting)), since.isoformat(), *counting)
    put_right = _identities(select, since)
    given = (_given(row, intervals, put_right.get(row["dose_id"], {})) for row in found)
    return tuple(one for one in given if one is not None)


def _chosen(select: Select, wanted: Wanted) -> list[int]:
    """The numbers of the rows that may be wanted: light, however many there are.

    The newest are found from the end, by SQLite's rule that a limit below 0 is none at all.
    """
    conditions = list(_conditions(wanted))
    where = " AND ".join(condition for condition, _ in conditions) or "true"
    values = [value for _, some in conditions for value in some]
    query = f"SELECT dose.id FROM dose WHERE {where} ORDER BY dose.id DESC LIMIT ?"  # noqa: S608 - our own words
    found = select(query, *values, wanted.last or -1)
    return [row["id"] for row in reversed(found)]


def _conditions(wanted: Wanted) -> Iterator[tuple[str, list[str]]]:
    # a time is written with its day first, in the keeper's own calendar: text compares as days do
    if wanted.since is not None:
        yield "dose.at >= ?", [wanted.since.isoformat()]
    if wanted.until is not None:
        yield "dose.at < ?", [(wanted.until + timedelta(days=1)).isoformat()]
    if wanted.round_id is not None:
        yield "dose.round_id = ?", [wanted.round_id]
    if wanted.medicine is not None:
        yield "dose.medicine = ?", [wanted.medicine]
    if wanted.bird is not None:
        yield _OF_BIRD, [wanted.bird] * 3
    if wanted.cage is not None:
        yield _OF_CAGE, [wanted.cage] * 2


def _folded(select: Select, ids: Sequence[int]) -> Iterator[Treatment]:
    said = select(_SAID.format(marks=_marks(ids)), *ids)
    names = [row["dose_id"] for row in said]
    corrections = _by_dose(select, "correction", names, _correction)
    ends = _by_dose(select, "dose_end", names, _ended)
    for row, name in zip(said, names, strict=True):
        yield folded(_said(row), corrections[name], ends[name])


def _by_dose(
    select: Select, table: str, names: Sequence[str], make: Callable[[sqlite3.Row], T]
) -> Mapping[str, list[T]]:
    query = f"SELECT * FROM {table} WHERE dose_id IN ({_marks(names)}) ORDER BY id"  # noqa: S608 - our own names
    found: defaultdict[str, list[T]] = defaultdict(list)
    for row in select(query, *names):
        found[row["dose_id"]].append(make(row))
    return found


def _said(row: sqlite3.Row) -> Treatment:
    """The dose as it was said, with what the record holds beside it."""
    return Treatment(
        dose_id=row["dose_id"],
        round_id=row["round_id"],
        said_at=datetime.fromisoformat(row["said_at"]),
        patient=_patient(row),
        product=_product(row),
        volume_ml=Decimal(row["volume_ml"]),
        rules=Rules(*(row[name] for name in Rules.__slots__)),
        **{name: row[name] for name in ("keeper", "holding", "prescriber", "reason", "route")},
    )


def _patient(row: sqlite3.Row) -> Patient:
    return Patient(
        species=row["species"],
        grams=Decimal(row["weight_g"]),
        bird=row["bird"],
        ring=row["ring"],
        cage=row["cage"],
        sex=row["sex"],
        birds=row["birds"] or 1,
    )


def _product(row: sqlite3.Row) -> Product:
    number, expires = _bottle(row)
    return Product(
        name=row["medicine"],
        strength=row["strength"],
        dilution=row["dilution"],
        fictional=bool(row["fictional"]),
        active=row["active"],
        strength_mg_per_ml=_amount(row["strength_mg_per_ml"]),
        share=_share(row["product"], row["water"]),
        label_dose=row["label_dose"],
        batch=number,
        expires=date.fromisoformat(expires) if expires else None,
        stock_batch=row["stock_batch"],
    )


def _bottle(row: sqlite3.Row) -> tuple[str | None, str | None]:
    """The product's batch number and expiry: of the bottle in the pot, else of the one in the file.

    What the pot leaves out is taken from the file only where both can be the same bottle.
    """
    number, expires = row["stock_product_batch"] or None, row["stock_expires"]
    filed, until = row["product_batch"], row["product_expires"]
    if number in (None, filed) and expires in (None, until):
        return filed, until
    return number, expires


def _amount(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


@lru_cache(maxsize=64)
def _share(product: str | None, water: str | None) -> Fraction | None:
    """Product to whole, by parts; None for a dose of an earlier version."""
    whole = Fraction(product or 0) + Fraction(water or 0)
    return Fraction(product or 0) / whole if whole else None


def _correction(row: sqlite3.Row) -> Correction:
    at = datetime.fromisoformat(row["at"])
    return Correction(at, row["fact"], row["was"], row["now"], row["note"])


def _ended(row: sqlite3.Row) -> Ended:
    return Ended(datetime.fromisoformat(row["at"]), DoseEnd(row["ending"]), row["note"])


def _identities(select: Select, since: date) -> Mapping[str, dict[str, str]]:
    """For each dose whose bird was put right since, what it is now."""
    facts = ("species", "bird", "ring", "cage")
    query = f"SELECT * FROM correction WHERE at >= ? AND fact IN ({_marks(facts)}) ORDER BY id"  # noqa: S608 - marks only
    found: defaultdict[str, dict[str, str]] = defaultdict(dict)
    for row in select(query, since.isoformat(), *facts):
        found[row["dose_id"]][row["fact"]] = row["now"] or ""
    return found


def _given(
    row: sqlite3.Row, intervals: Mapping[str, Interval], put_right: Mapping[str, str]
) -> Given | None:
    interval = _interval(row) if row["is_recorded"] else intervals.get(row["medicine"])
    if interval is None:
        return None
    whose = Whose(row["species"], row["cage"] or "", row["bird"] or "", row["ring"] or "")
    return Given(
        dose_id=row["dose_id"],
        whose=replace(whose, **put_right),
        medicine=row["medicine"],
        on=date.fromisoformat(row["ended_at"][:10]),
        earliest_days=interval.earliest_days,
        latest_days=interval.latest_days,
        course_doses=interval.course_doses,
        birds=row["birds"] or 1,
        fictional=bool(row["fictional"]),
    )


def _interval(row: sqlite3.Row) -> Interval | None:
    if row["earliest_days"] is None or row["latest_days"] is None:
        return None
    return Interval(row["earliest_days"], row["latest_days"], row["course_doses"])


def _marks(values: Iterable[object]) -> str:
    return ", ".join("?" for _ in values)


def _helpings(ids: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(ids), _HELPING):
        yield ids[start : start + _HELPING]
