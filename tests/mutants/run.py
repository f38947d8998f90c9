"""Mutation testing of the core: `python -m tests.mutants.run dosing hearing`.

Changes the core in one place at a time and runs the tests that pass there: a change that no test
notices is a hole in the tests.  Prints each mutant that was not killed, then a table; a time-out
counts as surviving.  `equivalent.txt` lists those that no test can notice, each with the reason.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import shutil
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import click
import pytest

from tests.mutants.choosing import Choosing, known_package
from tests.mutants.covering import KEPT, PACKAGES, cover_of, kept_file, sources, test_files, trace
from tests.mutants.judging import OPTIONS, TEMPORARY, Judging, Outcome
from tests.mutants.places import ROOT, Mutant, mutants_of

EQUIVALENTS = Path(__file__).with_name("equivalent.txt")


@dataclass(slots=True)
class Tally:
    """What became of a package's mutants."""

    package: str
    mutants: int
    outcomes: Counter[str] = field(default_factory=Counter)

    def row(self) -> str:
        """Mutants run, killed, timed out, survived, equivalent, and the share that survived."""
        ran = sum(self.outcomes.values())
        equivalent = self.outcomes["equivalent"]
        missed = self.outcomes[Outcome.SURVIVED] + self.outcomes[Outcome.TIMED_OUT]
        share = 100 * missed / max(ran - equivalent, 1)
        counts = [self.outcomes[name] for name in (*Outcome, "equivalent")]
        return (
            "| "
            + " | ".join(map(str, (self.package, self.mutants, ran, *counts, f"{share:.1f} %")))
            + " |"
        )


def equivalents() -> dict[str, str]:
    """The names of mutants that no test can notice, with the reason of each."""
    found, reason = {}, ""
    for line in EQUIVALENTS.read_text("utf-8").splitlines():
        if line.startswith("# "):
            reason = line.removeprefix("# ")
        elif line.strip():
            found[line.strip()] = reason
    return found


Judged = dict[str, tuple[str, str]]
Work = list[tuple[Mutant, ast.Module]]


def listed(package: str, options: argparse.Namespace) -> Work:
    """The mutants of a package, or the share of each module that was asked for."""
    chance = random.Random(options.seed)  # noqa: S311 - the same sample each time
    found: Work = []
    for module in sources([package]):
        tree = ast.parse((ROOT / module).read_text("utf-8"))
        mutants = [one for one in mutants_of(module, tree) if options.only in one.name]
        kept = sorted(chance.sample(range(len(mutants)), round(len(mutants) * options.share)))
        found += [(mutants[index], tree) for index in kept]
    return found


def judge(work: Work, choosing: Choosing) -> Judged:
    """A verdict for each mutant, told as it falls."""
    judged: Judged = {}

    def tell(mutant: Mutant, outcome: str, test: str) -> None:
        judged[mutant.name] = (outcome, test)
        if outcome != Outcome.KILLED:
            click.echo(f"{outcome:10} {mutant.line:4} {mutant.name}")

    by_name = {mutant.name: mutant for mutant, _ in work}
    for name, outcome, test in _verdicts(work, choosing):
        if name:
            tell(by_name[name], outcome, test)
            continue
        for wrong in [one for one, verdict in judged.items() if verdict[1] == test]:
            tell(by_name[wrong], outcome, f"{test} fails without any mutant")
    return judged


def _verdicts(work: Work, choosing: Choosing) -> Iterator[tuple[str, str, str]]:
    """Name, outcome and test of each mutant, from a process that has imported all."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            _judge_all(work, choosing, write)
        finally:
            os._exit(0)
    os.close(write)
    with os.fdopen(read) as verdicts:
        yield from map(json.loads, verdicts)
    os.waitpid(child, 0)


def _judge_all(work: Work, choosing: Choosing, write: int) -> None:
    def tell(mutant: Mutant | None, outcome: Outcome, test: str) -> None:
        name = mutant.name if mutant else ""
        os.write(write, (json.dumps([name, outcome, test]) + "\n").encode())

    nowhere = os.open(os.devnull, os.O_RDWR)
    os.dup2(nowhere, 1)
    files = choosing.files(mutant.module for mutant, _ in work)
    pytest.main(
        [*OPTIONS, *(str(ROOT / one) for one in files)], plugins=[Judging(choosing, work, tell)]
    )


def options_given(arguments: list[str]) -> argparse.Namespace:
    """What the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants.run", description=__doc__)
    parser.add_argument("parts", nargs="*", default=list(PACKAGES), type=known_package)
    parser.add_argument("--share", type=float, default=1.0, help="a sample of each module, 0 to 1")
    parser.add_argument("--seed", type=int, default=1, help="which sample")
    parser.add_argument("--only", default="", help="mutants with these words in their names")
    parser.add_argument("--again", action="store_true", help="only those not killed the last time")
    parser.add_argument("--patience", type=float, default=10, help="seconds of tests for a mutant")
    parser.add_argument("--tests", nargs="+", default=[""], help="only these test files, by words")
    return parser.parse_args(arguments)


def run_package(package: str, options: argparse.Namespace, choosing: Choosing) -> Tally:
    """Judge one part of the core and keep the verdicts for `--again`."""
    kept = KEPT / f"{package}.json"
    before: Judged = json.loads(kept.read_text("utf-8")) if kept.exists() else {}
    known, work = equivalents(), listed(package, options)
    judged: Judged = {one.name: ("equivalent", "") for one, _ in work if one.name in known}
    if options.again:
        judged |= {
            mutant.name: before[mutant.name]
            for mutant, _ in work
            if before.get(mutant.name, [""])[0] == Outcome.KILLED
        }
    left = [(mutant, tree) for mutant, tree in work if mutant.name not in judged]
    judged |= judge(left, choosing)
    kept.write_text(json.dumps(before | judged, indent=0), "utf-8")
    if len(judged) < len(work):
        click.echo(f"{len(work) - len(judged)} mutants got no verdict: the run broke off.")
    return Tally(package, len(work), Counter(outcome for outcome, _ in judged.values()))


def main(arguments: list[str]) -> int:
    """Trace the tests that changed, judge, print; 1 where a test fails without any mutant."""
    options = options_given(arguments)
    files = [path for path in test_files() if any(word in str(path) for word in options.tests)]
    failed = trace([path for path in files if not kept_file(path).exists()])
    if failed:
        click.echo("\n  ".join(["These fail without any mutant:", *failed]))
        return 1
    start = time.monotonic()
    choosing = Choosing(cover_of(files), options.patience)
    rows = [run_package(package, options, choosing).row() for package in options.parts]
    shutil.rmtree(TEMPORARY, ignore_errors=True)
    spent = time.monotonic() - start
    click.echo(f"\n{spent:.0f} s, {options.patience:g} s of tests for each mutant\n")
    click.echo("| part | mutants | run | killed | timed out | survived | equivalent | left |")
    click.echo("\n".join(["|---|---|---|---|---|---|---|---|", *rows]))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
