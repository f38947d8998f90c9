"""Recordings with what was said in them: a folder and its manifest of JSON lines.

A line is {"file": "001.wav", "text": "cockatiel ninety five grams"}; an empty text is noise alone,
and a line without one is a recording that nobody has vouched for yet.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import DataProblem

MANIFEST = "manifest.jsonl"
"""The file that says what each recording of its folder holds."""

_ONE_LINE_EACH = "Write one line of JSON for each recording; dosewren measure --help shows one."


@dataclass(frozen=True, slots=True)
class Labelled:
    """One recording and its true text; `line` is all that its line of the manifest says."""

    path: Path
    text: str
    line: Mapping[str, object]


def read_labelled(folder: Path, *, some_gone: bool = False) -> Iterator[Labelled]:
    """The recordings of a folder that have a text; raises DataProblem with the place at fault.

    With `some_gone` a file that is not there is passed over: a keeper may delete what they like.
    """
    manifest = folder / MANIFEST
    for number, line in enumerate(manifest_lines(manifest, _ONE_LINE_EACH), start=1):
        place = f"{manifest}, line {number}"
        try:
            entry = json.loads(line)
            file, text = str(entry["file"]), entry.get("text")
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            raise DataProblem(
                f"{place}: this is not a recording: {error}.", 'Write {"file": "…", "text": "…"}.'
            ) from error
        if text is None and "heard" in entry:
            continue
        if not isinstance(text, str):
            raise DataProblem(f"{place}: there is no text.", "Write what was said in it.")
        there = (folder / file).is_file()
        if not there and some_gone:
            continue
        if not there:
            raise DataProblem(
                f"{place}: there is no {folder / file}.", "Name a file of that folder."
            )
        yield Labelled(folder / file, text, entry)


def manifest_lines(manifest: Path, remedy: str) -> list[str]:
    """The lines of a manifest; raises DataProblem with this remedy."""
    try:
        return manifest.read_text("utf-8").splitlines()
    except OSError as error:
        raise DataProblem(f"{manifest} cannot be read: {error.strerror}.", remedy) from error
    except UnicodeDecodeError as error:
        raise DataProblem(f"{manifest} cannot be read: it is not UTF-8 text.", remedy) from error
