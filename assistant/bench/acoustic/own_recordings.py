"""A folder of somebody's own recordings as a plan: each file heard as it is, nothing added.

The folder holds a manifest.jsonl with a line for each file: {"file": "001.wav", "text": "cockatiel
ninety five grams"}.  What a text means is what typing it means; "kind" need only be given for talk
that is not meant for the ears ("chatter"), and an empty text is noise alone.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from assistant.bench.acoustic.desk import BenchDesk
from assistant.bench.acoustic.phrases import truth_of
from assistant.bench.acoustic.plan import Plan
from assistant.bench.acoustic.records import (
    AS_RECORDED,
    Condition,
    Kind,
    Part,
    Phrase,
    Trial,
    Voice,
)
from assistant.bench.acoustic.voices import OWN
from assistant.bench.acoustic.writing import MANIFEST
from assistant.conversation.turn import Status
from assistant.errors import DataProblem


def own_recordings(desk: BenchDesk, folder: Path) -> Plan:
    """The trials that a folder of recordings is; raises DataProblem where it cannot be read."""
    return Plan(tuple(_trials(desk, folder)), (), ())


def _trials(desk: BenchDesk, folder: Path) -> Iterator[Trial]:
    manifest = folder / MANIFEST
    try:
        lines = manifest.read_text("utf-8").splitlines()
    except OSError as error:
        raise DataProblem(
            f"{manifest} cannot be read: {error}.", "Write one line of JSON for each recording."
        ) from error
    for number, line in enumerate(lines):
        file, text, kind = _entry(line, f"{manifest}, line {number + 1}")
        if not (folder / file).is_file():
            raise DataProblem(
                f"{manifest}, line {number + 1}: there is no {folder / file}.",
                "Name a file of that folder.",
            )
        voice = Voice(OWN, str((folder / file).resolve()))
        yield Trial(
            Part.TEST, number, _phrase(desk, text, kind), voice, Condition(fault=AS_RECORDED)
        )


def _entry(line: str, place: str) -> tuple[str, str, Kind | None]:
    try:
        entry = json.loads(line)
        kind = Kind(entry["kind"]) if entry.get("kind") else None
        return str(entry["file"]), str(entry["text"]), kind
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise DataProblem(
            f"{place}: this is no recording: {error}.", 'Write {"file": "…", "text": "…"}.'
        ) from error


def _phrase(desk: BenchDesk, text: str, kind: Kind | None) -> Phrase:
    """The phrase, of the kind that typing it shows, where none is given."""
    if not text:
        return Phrase(Kind.NOISE, "")
    turn = desk.typed(text)
    truth, meaning = truth_of(turn), desk.meaning(text)
    intent = turn.intent.value if turn.intent else None
    if kind in (None, Kind.DOSE, Kind.OTHERWISE) and truth:
        return Phrase(kind or Kind.DOSE, text, truth, weight=text, intent=intent)
    if kind in (None, Kind.CONTROL) and turn.status is Status.COMMAND:
        return Phrase(Kind.CONTROL, text, style=meaning, intent=intent)
    return Phrase(kind or Kind.WEIGHT_ONLY, text, intent=intent)
