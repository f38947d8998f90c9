"""The command as a shell starts it, on a demo home with a short round in its register."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.conversation.entries import (
    DoseEnd,
    DoseEndEntry,
    DoseEntry,
    ExchangeEntry,
    TreatmentEntry,
)
from assistant.stock.batch import Batch
from assistant.stock.moves import Move, MoveKind

ROUND = (
    *("yes", "cockatiel 95 grams", "given", "Pepper 90 grams", "given"),
    *("galah 330 grams", "not given", "goodbye"),
)

Done = subprocess.CompletedProcess[str]


def run(*words: str, home: Path, typed: str = "") -> Done:
    """Run `dosewren` to its end with these words and what is typed into it."""
    ours = {"PYTHONPATH": str(Path(__file__).parents[1]), "PYTHONUTF8": "1"}
    return subprocess.run(
        [sys.executable, "-m", "assistant", *words],
        env={**os.environ, **ours, "DOSEWREN_HOME": str(home), "COLUMNS": "100"},
        input=typed,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def make_round(home: Path, *phrases: str) -> None:
    """Set the demo up where it is not yet, and type a round."""
    assert run("setup", "--demo", home=home).returncode == 0
    assert run("ask", "-", home=home, typed="\n".join(phrases or ROUND)).returncode == 0


START = datetime(2026, 3, 1, 8, 30, tzinfo=timezone(timedelta(hours=10)))
BIRDS = (
    ("Cockatiel", "Pepper", 92), ("Cockatiel", None, 88), ("Cockatiel", None, 71),
    ("Galah", "Rosie", 330), ("Galah", None, 402), ("Budgerigar", "Saffron", 31),
    ("Budgerigar", None, 27), ("Sulphur-crested cockatoo", "<b>Jack</b> & Jill", 720),
    ("Eastern rosella", None, 101), ("A species of my own", None, 55),
)  # fmt: skip
"""Species, name and weight in grams of an invented aviary."""


def write_season(register: SqliteRegister, rounds: int = 3) -> None:
    """Rounds two weeks apart, of ten birds each, with doses that ended in every way."""
    for number in range(rounds):
        at, round_id = START + timedelta(days=14 * number), f"round-{number + 1}"
        register.append(_batch_of(at, number))
        for place, (species, name, grams) in enumerate(BIRDS):
            dose_id = f"{round_id}-{place + 1}"
            said = _dose(at + timedelta(minutes=3 * place), dose_id, species, name)
            said = replace(said, round_id=round_id, grams=Decimal(grams + number))
            ended = DoseEndEntry(said.at + timedelta(minutes=1), round_id, dose_id, _ENDS[place])
            drawn = Move(said.at, round_id, f"b{number}", MoveKind.GIVEN, Decimal(-1), dose_id)
            register.append([_asked(said, place), said, _beside(said, name), ended, drawn])


_ENDS = [DoseEnd.GIVEN] * 6 + [*DoseEnd][1:]


def _batch_of(at: datetime, number: int) -> list[Batch | Move]:
    batch = Batch(
        at, f"b{number}", number + 1, "Marigold Demo", "25 mg per mL, diluted 1 in 10",
        "1 part product and 9 parts water, 1 in 10", Decimal(5), Decimal(45),
        at + timedelta(days=2), f"LOT {number}", date(2027, 6, 30), "the blue jar",
        fictional=True,
    )  # fmt: skip
    kinds = {MoveKind.MADE: 50, MoveKind.KEPT: -2, MoveKind.SURPLUS: -1, MoveKind.SPILLED: -4}
    moves = [Move(at, "r", f"b{number}", kind, Decimal(ml)) for kind, ml in kinds.items()]
    return [batch, *moves]


def _asked(said: DoseEntry, place: int) -> ExchangeEntry:
    status = "answered" if place % 3 else "asked"
    return ExchangeEntry(
        said.at, said.round_id, "text", "keyboard", said.species, 1.0, status, "dose", "{}",
        None, "a reply",
    )  # fmt: skip


def _dose(at: datetime, dose_id: str, species: str, name: str | None) -> DoseEntry:
    return DoseEntry(
        at, "r", dose_id, species, name, Decimal(1), "Marigold Demo",
        "25 mg per mL, diluted 1 in 10", "1 part product and 9 parts water, 1 in 10",
        Decimal("0.48"), Decimal("0.475"), "1 mL syringe", "14 gauge, 75 mm", "full", None,
        fictional=True,
    )  # fmt: skip


def _beside(said: DoseEntry, name: str | None) -> TreatmentEntry:
    ring = f"DEMO {len(name)}" if name else None
    return TreatmentEntry(
        said.at, said.round_id, said.dose_id, "Demo Keeper", "Demo Aviary, 1 Invented Lane", None,
        "roundworm (invented)", ring, "four", None, 1, "demosol (invented)", Decimal(25),
        Decimal(1), Decimal(9), "0.5 mL/kg", "crop", None, None, 7, 14, 10, 14, 3,
    )  # fmt: skip
