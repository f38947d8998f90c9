"""What a treatment record asks of a medicine, beside the figures of its dose.

reason                   what it is given for, such as "roundworm"
prescribed_by            the vet who prescribed it
product_batch            the batch on the bottle in use
product_expires          the date on it, 2027-06-30
withdrawal_eggs_days     whole days, 0 where the label says none; left out where it is not known
withdrawal_meat_days     the same for meat
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from typing import Final

from assistant.dosing.days import days_text
from assistant.dosing.tables import Table, shown

RECORD_KEYS: Final = (
    "reason",
    "prescribed_by",
    "product_batch",
    "product_expires",
    "withdrawal_eggs_days",
    "withdrawal_meat_days",
)
NOT_EATEN: Final = "Not for birds whose eggs or meat people eat."
"""What is said wherever a withdrawal period is not known."""

LONGEST_WITHDRAWAL_DAYS: Final = 3650
"""Above this a figure is taken for a slip."""


@dataclass(frozen=True, slots=True)
class ForRecord:
    """What nobody stated is None; a withdrawal of 0 days is stated, and is not None."""

    reason: str | None = None
    prescriber: str | None = None
    product_batch: str | None = None
    product_expires: date | None = None
    egg_days: int | None = None
    meat_days: int | None = None

    @property
    def figures(self) -> Mapping[str, int]:
        """The label's figures among these, which a confirmation vouches for: those stated."""
        stated = {"egg_days": self.egg_days, "meat_days": self.meat_days}
        return {name: days for name, days in stated.items() if days is not None}

    @property
    def may_be_eaten(self) -> bool:
        """Whether both withdrawal periods are known: else no bird whose eggs or meat are eaten."""
        return self.egg_days is not None and self.meat_days is not None


def withdrawal_text(record: ForRecord) -> str:
    """For how long after a dose eggs and meat are not to be eaten, as sentences."""
    text = f"Eggs: {_barred(record.egg_days)}. Meat: {_barred(record.meat_days)}."
    return text if record.may_be_eaten else f"{text} {NOT_EATEN}"


def _barred(days: int | None) -> str:
    if days is None:
        return "withdrawal period not known"
    if not days:
        return "no withdrawal period"
    return f"not to be eaten for {days_text(days)} after a dose"


def read_for_record(table: Table) -> ForRecord:
    """Read these keys of a `[[medicine]]` table, keeping a problem for each wrong value."""
    return ForRecord(
        reason=table.text("reason"),
        prescriber=table.text("prescribed_by"),
        product_batch=table.text("product_batch"),
        product_expires=read_date(table, "product_expires"),
        egg_days=_days(table, "withdrawal_eggs_days"),
        meat_days=_days(table, "withdrawal_meat_days"),
    )


def read_date(table: Table, key: str) -> date | None:
    """A date, as TOML or as a text; None where the key is absent or, with a problem, wrong."""
    if table.missing(key, needed=False):
        return None
    value = table.content[key]
    if isinstance(value, date):
        return value
    if isinstance(value, str):
        with suppress(ValueError):
            return date.fromisoformat(value.strip())
    table.wrong(key, f"{shown(value)} is not a date", "Write it as 2025-03-31.")
    return None


def _days(table: Table, key: str) -> int | None:
    if table.missing(key, needed=False):
        return None
    days = table.number(key, zero=True)
    if days is None:
        return None
    if days != int(days) or days > LONGEST_WITHDRAWAL_DAYS:
        table.wrong(
            key,
            f"{shown(table.content[key])} is not a number of whole days",
            "Write the label's days, 0 where it says none, or leave the line out.",
        )
        return None
    return int(days)
