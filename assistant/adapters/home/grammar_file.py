"""Where the grammar is: inside the installed package, or beside it in a checkout."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from assistant.errors import DataProblem

GRAMMAR = "dosewren.jsgf"
PRONUNCIATIONS = "pronunciations.dict"


def grammar_text(name: str) -> str:
    """The text of a file of grammar/, `GRAMMAR` or `PRONUNCIATIONS`; raises DataProblem."""
    package = Path(str(files("assistant")))
    for folder in (package / "grammar", package.parent / "grammar"):
        path = folder / name
        if path.is_file():
            return path.read_text("utf-8")
    raise DataProblem(
        f"The grammar {name} is missing from the installation.", "Install dosewren again."
    )
