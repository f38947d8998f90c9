"""Every ignored rule or type check gives its reason on the same line."""

from __future__ import annotations

import io
import re
import tokenize
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

WAIVER = re.compile(r"#\s*(?:ruff:\s*noqa|noqa|type:\s*ignore|pragma:\s*no cover)\b", re.IGNORECASE)
WITH_REASON = re.compile(
    r"#\s*(?:(?:ruff:\s*)?noqa:\s*[A-Z]+[0-9]++(?:\s*,\s*[A-Z]+[0-9]++)*+"
    r"|type:\s*ignore\[[a-z, -]+\]"
    r"|pragma:\s*no cover)\s*(?:#|-|—|:)?\s*[^\s,#-].{3,}",
)


def _comments(source: str) -> Iterator[tuple[int, str]]:
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT:
            yield token.start[0], token.string


def _bare(source: str) -> list[int]:
    return [
        line
        for line, comment in _comments(source)
        if WAIVER.search(comment) and not WITH_REASON.search(comment)
    ]


def test_every_waiver_in_the_code_has_a_rule_and_a_reason():
    sources = [*(ROOT / "assistant").rglob("*.py"), *(ROOT / "tests").rglob("*.py")]
    found = {
        str(path.relative_to(ROOT)): _bare(path.read_text(encoding="utf-8")) for path in sources
    }
    assert {where: lines for where, lines in found.items() if lines} == {}


def test_every_rule_ignored_in_the_project_file_has_a_reason():
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    lint = tomllib.loads(text)["tool"]["ruff"]["lint"]
    rules = [
        *lint["ignore"],
        *(rule for rules in lint["per-file-ignores"].values() for rule in rules),
    ]
    bare = [rule for rule in rules if not re.search(rf'"{rule}"[\],]*\s*# \w+', text)]
    assert bare == []


@pytest.mark.parametrize(
    ("line", "bare"),
    [
        ("x = f()  # noqa\n", 1),
        ("x = f()  # noqa: S603\n", 1),
        ("x = f()  # noqa: PLC0415, S607\n", 1),
        ("x = f()  # noqa: PLC0415  #\n", 1),
        ("x = f()  # type: ignore[arg-type]\n", 1),
        ("x = f()  # type: ignore  # the library is untyped\n", 1),
        ("x = f()  # noqa: S603 - the keeper chose this program\n", 0),
        ("x = f()  # noqa: S603, S607  # the keeper chose this program\n", 0),
        ("x = f()  # noqa: S603 - a program of ours\n", 0),
        ("x = f()  # type: ignore[arg-type]  # the library is untyped\n", 0),
        ('x = "# noqa"\n', 0),
    ],
)
def test_the_check_tells_a_reason_from_none(line: str, bare: int):
    assert len(_bare(line)) == bare
