"""Word graphs kept on disk, since making one takes half a second at every start.

A file holds one line of what it is, then the graph in JSON.  The line names everything that the
graph was made from, the code that made it included, and the body's checksum.  A file that is gone,
damaged or made from anything else is made again; where nothing can be written, each start makes
its own.  Nothing in a file is run.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

from assistant import __version__
from assistant.adapters.ears import word_graph as maker
from assistant.adapters.ears.word_graph import WordGraph, word_graph
from assistant.language.tree import Grammar

MOST_KEPT: Final = 4
"""The files that stay: two ears, and once more for those who go to and fro between two homes."""

_PREFIX: Final = "graph-"


class KeptGraphs:
    """Word graphs in a folder that need not exist, each by what it was made from."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def graph(self, grammar: Grammar) -> WordGraph:
        """The graph of the grammar, from the disk where it is there and whole."""
        key = _key(grammar)
        path = self._folder / f"{_PREFIX}{key[:16]}.json"
        found = _read(path, key)
        if found is None:
            found = word_graph(grammar)
            # a full or write-protected disk costs the next start its half second, and nothing else
            with suppress(OSError):
                self._keep(path, key, found)
        return found

    def _keep(self, path: Path, key: str, graph: WordGraph) -> None:
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        body = json.dumps({"steps": graph.steps, "ends": sorted(graph.ends)}).encode()
        handle, waiting = tempfile.mkstemp(prefix=".graph", dir=self._folder)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(f"{key} {_checksum(body)}\n".encode() + body)
            Path(waiting).replace(path)
        finally:
            Path(waiting).unlink(missing_ok=True)
        for old in _oldest_first(self._folder)[:-MOST_KEPT]:
            old.unlink(missing_ok=True)


def _key(grammar: Grammar) -> str:
    """What a graph is made from: every rule with the keeper's names in it, and the making code."""
    made_by = f"{__version__} {Path(maker.__file__).read_text('utf-8')}"
    return hashlib.sha256(f"{made_by}\n{grammar!r}".encode()).hexdigest()


def _read(path: Path, key: str) -> WordGraph | None:
    try:
        head, _, body = path.read_bytes().partition(b"\n")
    except OSError:
        return None
    if head != f"{key} {_checksum(body)}".encode():
        return None
    kept = json.loads(body)
    return WordGraph(tuple(kept["steps"]), frozenset(kept["ends"]))


def _checksum(body: bytes) -> str:
    return hashlib.sha256(body).hexdigest()


def _oldest_first(folder: Path) -> Sequence[Path]:
    return sorted(folder.glob(f"{_PREFIX}*"), key=lambda path: path.stat().st_mtime_ns)
