"""The tables in fixtures/, as rows."""

from __future__ import annotations

import csv
from pathlib import Path

FIXTURES = Path(__file__).parents[1] / "fixtures"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one CSV file."""
    return list(csv.DictReader((FIXTURES / name).read_text(encoding="utf-8").splitlines()))
