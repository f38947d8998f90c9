"""How long things may be, read from the syntax trees: small pieces are the ones that get read."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

FUNCTION_LINES = 50
MODULE_LINES = 350
PARAMETERS = 5
TEST_LINES = 25

VAGUE_NAMES = {"utils", "util", "helpers", "helper", "manager", "base", "common", "misc"}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def _sources(folder: str) -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


def _functions(source: str) -> Iterator[Function]:
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, Function):
            yield node


def _lines(function: Function) -> int:
    """Signature, docstring and body; decorators are not counted."""
    return (function.end_lineno or function.lineno) - function.lineno + 1


def _parameters(function: Function) -> list[str]:
    spec = function.args
    names = [arg.arg for arg in (*spec.posonlyargs, *spec.args, *spec.kwonlyargs)]
    return [name for name in names if name not in {"self", "cls"}]


def _too_long(source: str, limit: int) -> list[str]:
    return [f"{f.name}: {_lines(f)} lines" for f in _functions(source) if _lines(f) > limit]


def _too_wide(source: str) -> list[str]:
    found = ((f.name, len(_parameters(f))) for f in _functions(source))
    return [f"{name}: {count} parameters" for name, count in found if count > PARAMETERS]


def _all(folder: str) -> Iterator[tuple[str, str]]:
    for path in _sources(folder):
        yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")


def test_no_function_is_longer_than_a_screen():
    assert {
        where: bad for where, text in _all("assistant") if (bad := _too_long(text, FUNCTION_LINES))
    } == {}


def test_no_test_is_longer_than_a_glance():
    assert {
        where: bad for where, text in _all("tests") if (bad := _too_long(text, TEST_LINES))
    } == {}


def test_no_module_is_too_long_to_hold_in_mind():
    lengths = {
        where: text.count("\n") for folder in ("assistant", "tests") for where, text in _all(folder)
    }
    assert {where: lines for where, lines in lengths.items() if lines > MODULE_LINES} == {}


def test_no_function_takes_more_than_five_parameters():
    assert {where: bad for where, text in _all("assistant") if (bad := _too_wide(text))} == {}


def test_no_module_has_a_name_that_says_nothing():
    assert [str(path) for path in _sources("assistant") if path.stem in VAGUE_NAMES] == []


@pytest.mark.parametrize(
    ("source", "long", "wide"),
    [
        ("def f():\n" + "    x = 1\n" * 49, 0, 0),
        ("def f():\n" + "    x = 1\n" * 50, 1, 0),
        ("class A:\n    async def f(self, a, b, /, c, *, d, e):\n        pass\n", 0, 0),
        ("class A:\n    async def f(self, a, b, /, c, *, d, e, f):\n        pass\n", 0, 1),
    ],
)
def test_the_measures_measure(source: str, long: int, wide: int):
    assert (len(_too_long(source, FUNCTION_LINES)), len(_too_wide(source))) == (long, wide)
