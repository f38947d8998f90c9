"""A folder of somebody's own recordings as a plan: each file heard as it is, nothing added.

The folder holds a manifest.jsonl with a line for each file: {"file": "001.wav", "text": "cockatiel
ninety five grams"}.  What a text means is what typing it means; "kind" need only be given for talk
that is not meant for the ears ("chatter"), and an empty text is noise alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from assistant.adapters.home.labelled_recordings import MANIFEST, Labelled, read_labelled
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
from assistant.conversation.turn import Status
from assistant.errors import DataProblem


def own_recordings(desk: BenchDesk, folder: Path) -> Plan:
    """The trials that a folder of recordings is; raises DataProblem where it cannot be read."""
    return Plan(tuple(_trials(desk, folder)), (), ())


def _trials(desk: BenchDesk, folder: Path) -> Iterator[Trial]:
    for number, one in enumerate(read_labelled(folder)):
        voice = Voice(OWN, str(one.path.resolve()))
        phrase = _phrase(desk, one.text, _kind(one, folder))
        yield Trial(Part.TEST, number, phrase, voice, Condition(fault=AS_RECORDED))


def _kind(one: Labelled, folder: Path) -> Kind | None:
    said = one.line.get("kind")
    try:
        return Kind(str(said)) if said else None
    except ValueError as error:
        raise DataProblem(
            f"{folder / MANIFEST}: {one.path.name} is of no known kind: {said}.",
            f"Kinds: {', '.join(Kind)}.",
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
