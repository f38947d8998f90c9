"""What the register must keep: plain records, written once and never changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from assistant.stock.batch import Batch
from assistant.stock.moves import Move


class DoseEnd(StrEnum):
    """How a dose that was said came to its end."""

    GIVEN = "given"
    PART_GIVEN = "part_given"
    NOT_GIVEN = "not_given"
    NOT_KNOWN = "not_known"
    SCRATCHED = "scratched"


COUNTS_AS_FULL = frozenset({DoseEnd.GIVEN, DoseEnd.PART_GIVEN, DoseEnd.NOT_KNOWN})
"""Ends after which the bird counts as dosed, for every guard."""


@dataclass(frozen=True, slots=True)
class ExchangeEntry:
    """One exchange: what came in, what was understood, what was answered.

    `request` is the understood request as a JSON object, `confidence` is 0 to 1, and `at` carries
    its offset from UTC.
    """

    at: datetime
    round_id: str
    channel: str
    engine: str
    heard: str
    confidence: float
    status: str
    intent: str | None
    request: str
    reason: str | None
    reply: str


@dataclass(frozen=True, slots=True)
class DoseEntry:
    """A dose that was answered: said aloud, not yet given.

    Volumes are millilitres of the working dilution; `exact_ml` before and `volume_ml` after
    rounding to the syringe.  `grams` is the bird alone, without its bag.
    """

    at: datetime
    round_id: str
    dose_id: str
    species: str
    bird: str | None
    grams: Decimal
    medicine: str
    strength: str
    dilution: str
    volume_ml: Decimal
    exact_ml: Decimal
    syringe: str
    needle: str
    needle_state: str
    band: str | None
    fictional: bool


@dataclass(frozen=True, slots=True)
class DoseEndEntry:
    """The end of a dose, or its scratching: a row of its own, so that nothing is overwritten."""

    at: datetime
    round_id: str
    dose_id: str
    end: DoseEnd
    note: str = ""


@dataclass(frozen=True, slots=True)
class NoteEntry:
    """Anything else worth a row: a round begun, a medicine confirmed, a needle changed."""

    at: datetime
    round_id: str
    kind: str
    text: str


Entry = ExchangeEntry | DoseEntry | DoseEndEntry | NoteEntry | Batch | Move
