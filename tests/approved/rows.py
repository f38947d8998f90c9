"""The rows that a turn leaves for the register, each in one line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict

from assistant.conversation.entries import (
    CorrectionEntry,
    DoseEndEntry,
    DoseEntry,
    Entry,
    ExchangeEntry,
    NoteEntry,
    TreatmentEntry,
)
from assistant.conversation.turn import Turn
from assistant.dosing.quantities import decimal_text
from assistant.stock.moves import Move


def row_lines(turn: Turn, *, whole: bool) -> Iterator[str]:
    """The rows beside the exchange itself; `whole` has every field of every row."""
    for entry in turn.entries:
        if whole:
            stated = {name: value for name, value in asdict(entry).items() if value is not None}
            yield f"{type(entry).__name__} " + "; ".join(
                f"{name} {value}" for name, value in stated.items() if name not in {"at", "reply"}
            )
        elif not isinstance(entry, ExchangeEntry | TreatmentEntry):
            yield _in_short(entry)


def facts_line(turn: Turn) -> str:
    """What a turn holds as data, beside its dose."""
    facts = turn.facts
    grams = f"{facts.grams} g" if facts.grams else None
    known = (facts.species, facts.bird, grams, facts.medicine)
    return ", ".join(filter(None, known))


def _in_short(entry: Entry) -> str:
    match entry:
        case DoseEntry():
            who = f"{entry.bird}, {entry.species}" if entry.bird else entry.species
            return f"dose {entry.dose_id}: {who}, {entry.grams} g, {entry.volume_ml} mL"
        case DoseEndEntry():
            note = f" ({entry.note})" if entry.note else ""
            return f"end of {entry.dose_id}: {entry.end.value}{note}"
        case NoteEntry():
            return f"note, {entry.kind}: {entry.text}"
        case Move():
            change = decimal_text(entry.change_ml)
            return f"pot {entry.batch_id}: {entry.kind.value} {change} mL {entry.note}".rstrip()
        case CorrectionEntry():
            return f"correction of {entry.dose_id}: {entry.fact} {entry.was} to {entry.now}"
    return type(entry).__name__
