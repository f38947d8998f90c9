"""Results as lines of JSON, and back: a run is kept, and its tables can be printed again."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict
from decimal import Decimal
from pathlib import Path
from typing import Any

from assistant.bench.acoustic.records import Kind, Truth
from assistant.bench.acoustic.scoring import Outcome, Result

RESULTS = "results.jsonl"
"""The file of a run that holds a line for each of its trials."""


def as_line(result: Result) -> str:
    """A result as one line of JSON."""
    return json.dumps(asdict(result), default=str, ensure_ascii=False)


def read_results(path: Path) -> Iterator[Result]:
    """The results of a file, in its order."""
    with path.open(encoding="utf-8") as lines:
        for line in lines:
            yield _result(json.loads(line))


def _result(data: dict[str, Any]) -> Result:
    truth = data["truth"]
    return Result(
        **{
            **data,
            "kind": Kind(data["kind"]),
            "truth": _truth(truth) if truth else None,
            "first": _outcome(data["first"]),
            "then": _outcome(data["then"]) if data["then"] else None,
        }
    )


def _truth(data: dict[str, Any]) -> Truth:
    return Truth(data["species"], Decimal(data["grams"]), Decimal(data["dose_ml"]))


def _outcome(data: dict[str, Any]) -> Outcome:
    numbers = {name: _number(data[name]) for name in ("grams", "dose_ml")}
    face = data.get("face")
    return Outcome(**{**data, **numbers, "face": _truth(face) if face else None})


def _number(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
