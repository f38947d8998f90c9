"""Which lines of the core each test runs, and how long it takes: traced once, kept by digest."""

from __future__ import annotations

import hashlib
import json
import os
import sys
import time
from collections import defaultdict
from collections.abc import Generator, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

from tests.mutants.places import ROOT

PACKAGES = ("dosing", "hearing", "stock", "planning", "records", "language", "conversation")
TESTS = ("unit", "approved", "property", "published", "independent")
# texts for the network that writes phones: 45 s, and nothing of the core is judged there
LEFT_OUT = {"test_phones_fit.py", "test_decision_fit.py"}
PARTS = 2  # of twenty times 5,000 random birds that are worked out twice
KEPT = ROOT / ".mutants"
# hypothesis is imported before pytest is asked to rewrite its assertions: each fork has it then
QUIET = ["-q", "-s", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning"]


@dataclass(slots=True)
class Covered:
    """What one test ran: lines by module, and the seconds that it took untraced."""

    seconds: float = 0.0
    lines: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))


Cover = dict[str, Covered]


def test_files() -> list[Path]:
    """The files whose tests are set against the mutants."""
    found = [path for name in TESTS for path in sorted((ROOT / "tests" / name).glob("test_*.py"))]
    return [path for path in found if path.name not in LEFT_OUT]


def sources(packages: Iterable[str] = PACKAGES) -> list[str]:
    """The modules of the core, as paths from the project's folder."""
    paths = [path for name in packages for path in sorted((ROOT / "assistant" / name).glob("*.py"))]
    return [str(path.relative_to(ROOT)) for path in paths]


def kept_file(tests: Path) -> Path:
    """Where the cover of a test file is kept: another name after a change of it or of the core."""
    beside = [one for one in tests.parent.glob("*.*") if not one.name.startswith("test_")]
    scenes = [*sorted((ROOT / "tests").glob("*.py")), *sorted(beside)]
    core = [ROOT / source for source in sources()]
    digest = hashlib.sha256(b"".join(path.read_bytes() for path in (tests, *core, *scenes)))
    return KEPT / "cover" / f"{tests.stem}-{digest.hexdigest()[:16]}.json"


def cover_of(files: Iterable[Path]) -> Cover:
    """The kept cover of all these test files; those without one yet must be traced before."""
    cover: Cover = {}
    for path in files:
        for name, (seconds, lines) in json.loads(kept_file(path).read_text("utf-8")).items():
            cover[name] = Covered(seconds, {module: set(one) for module, one in lines.items()})
    return cover


class Tracing:
    """A pytest plugin: runs each test once for its time and once for its lines."""

    def __init__(self) -> None:
        self.cover: Cover = defaultdict(Covered)
        self.failed: list[str] = []
        self._now = Covered()
        self._files = {str(ROOT / source): source for source in sources()}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Of a large sample that is cut into parts, leave only the first parts."""
        items[:] = [one for one in items if not _is_further_part(one.nodeid)]

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        """Trace what happens from the start of a test's set-up to the end of its clean-up."""
        self._now = self.cover[item.nodeid]
        forget()
        start = time.perf_counter()
        sys.settrace(self._enter)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            self._now.seconds = time.perf_counter() - start

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note a test that fails without any mutant: no figure may rest on it."""
        if report.failed:
            self.failed.append(report.nodeid)

    def _enter(self, frame: FrameType, _event: str, _arg: object) -> Any:  # noqa: ANN401 - a tracer
        module = self._files.get(frame.f_code.co_filename)
        if module is None:
            return None
        lines = self._now.lines[module]
        add = lines.add

        def line(frame: FrameType, _event: str, _arg: object) -> Any:  # noqa: ANN401 - a tracer
            add(frame.f_lineno)
            return line

        add(frame.f_lineno)
        return line

    def keep(self, files: Iterable[Path]) -> None:
        """Write one file for each test file."""
        by_file: dict[str, dict[str, tuple[float, dict[str, list[int]]]]] = defaultdict(dict)
        for name, covered in self.cover.items():
            lines = {module: sorted(one) for module, one in covered.lines.items()}
            by_file[name.split("::")[0]][name] = (covered.seconds, lines)
        for path in files:
            kept = kept_file(path)
            kept.parent.mkdir(parents=True, exist_ok=True)
            for stale in kept.parent.glob(f"{path.stem}-*.json"):
                stale.unlink()
            kept.write_text(json.dumps(by_file[str(path.relative_to(ROOT))]), "utf-8")


def _is_further_part(name: str) -> bool:
    part = name.partition("[")[2].removesuffix("]")
    return name.startswith("tests/independent") and part.isdigit() and int(part) >= PARTS


def forget() -> None:
    """Empty the core's caches, so that each test runs what it needs itself."""
    for name, module in list(sys.modules.items()):
        if name.startswith("assistant.") and name.split(".")[1] in PACKAGES:
            for value in list(vars(module).values()):
                if hasattr(value, "cache_clear"):
                    value.cache_clear()


def trace(files: list[Path]) -> list[str]:
    """Run these test files traced, in a process of their own; the tests that failed."""
    if not files:
        return []
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        tracing = Tracing()
        try:
            pytest.main([*QUIET, *map(str, files)], plugins=[tracing])
            tracing.keep(files)
            os.write(write, "\n".join(tracing.failed).encode())
        finally:
            os._exit(0)
    os.close(write)
    with os.fdopen(read) as failed:
        found = failed.read().split("\n")
    os.waitpid(child, 0)
    return [name for name in found if name]
