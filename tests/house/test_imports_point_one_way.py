"""Who may import whom, and what the pure core may touch: read from the syntax trees."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "assistant"

CORE = {"dosing", "stock", "planning", "records", "language", "hearing", "conversation"}

KNOWN_TO_ALL_EDGES = {"errors", "audio", *CORE, "ports"}
JOINED = {*KNOWN_TO_ALL_EDGES, "adapters", "session"}

MAY_IMPORT: dict[str, set[str]] = {
    "__init__": set(),
    "errors": set(),
    "audio": {"errors"},
    "dosing": {"errors"},
    "stock": {"errors", "dosing"},
    "planning": {"errors", "dosing", "stock"},
    "records": {"errors", "dosing", "stock"},
    "language": {"errors", "dosing"},
    "hearing": {"errors", "dosing", "language"},
    "conversation": {"errors", "dosing", "stock", "records", "language"},
    "ports": {"errors", "audio", *CORE},
    "adapters": KNOWN_TO_ALL_EDGES,
    "session": KNOWN_TO_ALL_EDGES,
    "wiring": JOINED,
    "commands": {*JOINED, "wiring"},
    "cli": {*JOINED, "wiring", "commands"},
    "__main__": {"cli"},
    "bench": {*JOINED, "wiring", "commands", "cli"},
}
"""Each part of the package with the parts it may import; a new part is given its place here."""

CORE_MAY_USE = {
    *("__future__", "abc", "bisect", "collections", "contextlib", "csv", "dataclasses", "datetime"),
    *("decimal", "enum", "fractions", "functools", "hashlib", "heapq", "itertools", "json", "math"),
    *("operator", "re", "string", "textwrap", "types", "typing", "unicodedata"),
    "rapidfuzz",
}
"""All that the pure core may use from outside: nothing that meets a file, a clock or a device."""

IMPURE_CALLS = {
    *("open", "print", "input", "eval", "exec", "__import__", "breakpoint"),
    *("datetime.now", "datetime.utcnow", "datetime.today", "date.today"),
    *("datetime.datetime.now", "datetime.datetime.utcnow", "datetime.date.today"),
}


@dataclass(frozen=True)
class Import:
    """One imported module: its dotted name, its line, and whether only a type checker sees it."""

    name: str
    line: int
    types_only: bool


def _part_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _modules(parts: set[str]) -> list[Path]:
    return sorted(path for path in PACKAGE.rglob("*.py") if _part_of(path) in parts)


def _absolute(node: ast.ImportFrom, path: Path) -> str:
    if not node.level:
        return node.module or ""
    folder = path.parents[node.level - 1].relative_to(ROOT)
    return ".".join([*folder.parts, *([node.module] if node.module else [])])


def _names(node: ast.Import | ast.ImportFrom, path: Path) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
        return
    module = _absolute(node, path)
    yield from (
        (f"{module}.{alias.name}" for alias in node.names) if module == "assistant" else [module]
    )


def _is_for_types(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING")


def _imports(path: Path) -> Iterator[Import]:
    tree = ast.parse(path.read_text(encoding="utf-8"), str(path))
    for_types = {
        id(inner)
        for block in ast.walk(tree)
        if _is_for_types(block)
        for statement in block.body  # type: ignore[attr-defined]  # _is_for_types saw an ast.If
        for inner in ast.walk(statement)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Import | ast.ImportFrom):
            for name in _names(node, path):
                yield Import(name, node.lineno, types_only=id(node) in for_types)


def _own_part(name: str) -> str | None:
    steps = name.split(".")
    return steps[1] if steps[0] == "assistant" and len(steps) > 1 else None


def _wrong_arrows(path: Path) -> list[str]:
    part = _part_of(path)
    allowed = {part, "__version__", *MAY_IMPORT[part]}
    where = path.relative_to(ROOT)
    return [
        f"{where}:{found.line}: {part} imports {found.name}"
        for found in _imports(path)
        if (own := _own_part(found.name)) and own not in allowed
    ]


def _impure_imports(path: Path) -> list[str]:
    return [
        f"{path.relative_to(ROOT)}:{found.line}: the core imports {found.name}"
        for found in _imports(path)
        if not found.types_only and found.name.split(".")[0] not in {*CORE_MAY_USE, "assistant"}
    ]


def _impure_calls(path: Path) -> list[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"), str(path))
    return [
        f"{path.relative_to(ROOT)}:{node.lineno}: the core calls {ast.unparse(node.func)}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func) in IMPURE_CALLS
    ]


def test_every_part_of_the_package_has_its_place():
    assert {_part_of(path) for path in PACKAGE.rglob("*.py")} <= set(MAY_IMPORT)


def test_no_part_may_import_one_that_may_import_it():
    assert [(a, b) for a, others in MAY_IMPORT.items() for b in others if a in MAY_IMPORT[b]] == []


def test_every_import_inside_the_package_points_the_allowed_way():
    assert [line for path in _modules(set(MAY_IMPORT)) for line in _wrong_arrows(path)] == []


def test_the_core_imports_nothing_that_meets_the_world():
    assert [line for path in _modules(CORE) for line in _impure_imports(path)] == []


def test_the_core_asks_neither_the_clock_nor_the_terminal():
    assert [line for path in _modules(CORE) for line in _impure_calls(path)] == []


def test_what_the_core_may_use_is_pure_by_its_name():
    outside = {"os", "sys", "io", "pathlib", "time", "random", "secrets", "threading", "asyncio"}
    outside |= {"subprocess", "socket", "sqlite3", "tomllib", "logging", "sounddevice", "vosk"}
    assert outside & CORE_MAY_USE == set()
    assert {name for name in CORE_MAY_USE if name not in sys.stdlib_module_names} == {"rapidfuzz"}


@pytest.mark.parametrize(
    ("place", "source", "complaints"),
    [
        ("dosing/bad.py", "from assistant.conversation import entries\n", 1),
        ("dosing/bad.py", "from assistant import cli\n", 1),
        ("dosing/bad.py", "from ..adapters import register\n", 1),
        ("adapters/bad.py", "import assistant.session\n", 1),
        ("language/bad.py", "def f():\n    import os.path\n", 1),
        (
            "language/bad.py",
            "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import random\n",
            0,
        ),
        ("language/bad.py", "from datetime import datetime\nWHEN = datetime.now()\n", 1),
        (
            "conversation/good.py",
            "from assistant.dosing import dose\nfrom decimal import Decimal\n",
            0,
        ),
    ],
)
def test_the_checks_see_what_they_look_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, place: str, source: str, complaints: int
):
    here = sys.modules[__name__]
    monkeypatch.setattr(here, "ROOT", tmp_path)
    monkeypatch.setattr(here, "PACKAGE", tmp_path / "assistant")
    path = tmp_path / "assistant" / place
    path.parent.mkdir(parents=True)
    path.write_text(source, encoding="utf-8")
    impure = _impure_imports(path) + _impure_calls(path) if _part_of(path) in CORE else []
    assert len(_wrong_arrows(path) + impure) == complaints
