"""Which tests are set against a mutant, in which order: killers of its neighbours first."""

from __future__ import annotations

import ast
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from itertools import zip_longest

from tests.mutants.covering import PACKAGES, Cover, sources
from tests.mutants.places import ROOT, Mutant

SETTING_UP_S = 0.05
"""What a test costs before it begins."""


class Choosing:
    """Learns from each kill; `patience_s` bounds the test time that one mutant is worth."""

    def __init__(self, cover: Cover, patience_s: float) -> None:
        self.cover = cover
        self._patience_s = patience_s
        self._kills: defaultdict[str, Counter[str]] = defaultdict(Counter)
        self._everywhere: Counter[str] = Counter()
        self._by_line: defaultdict[tuple[str, int], set[str]] = defaultdict(set)
        self._by_module: defaultdict[str, set[str]] = defaultdict(set)
        self._by_import: defaultdict[str, set[str]] = defaultdict(set)
        self._uses = _uses()
        imported = {file: _imported(file) for file in {name.split("::")[0] for name in cover}}
        for name, covered in cover.items():
            for module in imported[name.split("::")[0]]:
                self._by_import[module].add(name)
            for module, lines in covered.lines.items():
                self._by_module[module].add(name)
                for line in lines:
                    self._by_line[module, line].add(name)

    def tests_for(self, mutant: Mutant) -> list[str]:
        """Names of tests that run the changed lines, as many as patience allows.

        What is worked out at import belongs to no test: there it is those that run a line which
        uses a name that is defined or whose file imports the module, then those that run it.
        """
        if mutant.scope:
            found = set().union(*(self._by_line[mutant.module, line] for line in mutant.lines))
            return list(self._within_patience(self._ordered(found, mutant)))
        uses = set().union(*(self._uses[name] for name in mutant.defines))
        users = set().union(*(self._by_line[use] for use in uses))
        first = users | self._by_import[mutant.module]
        rest = self._by_module[mutant.module] - first
        ordered = [*self._ordered(first, mutant), *self._ordered(rest, mutant)]
        return list(self._within_patience(ordered))

    def killed(self, mutant: Mutant, test: str) -> None:
        """Remember which test found it."""
        self._everywhere[test] += 1
        self._kills[mutant.module][test] += 1
        self._kills[f"{mutant.module} {mutant.scope}"][test] += 1

    def killers(self) -> set[str]:
        """Every test that found something."""
        return set().union(*self._kills.values())

    def files(self, modules: Iterable[str]) -> list[str]:
        """The files whose tests run or import any of these modules."""
        both = [(self._by_module[module], self._by_import[module]) for module in modules]
        names = set().union(*(name for pair in both for name in pair))
        return sorted({name.split("::")[0] for name in names})

    def _ordered(self, names: Iterable[str], mutant: Mutant) -> list[str]:
        """Killers in the same function, then in the module; then two kinds of tests by turns.

        Those that killed most elsewhere in their time, and those that import the module, of equals
        the fastest first.
        """
        here = self._kills[f"{mutant.module} {mutant.scope}"]
        near, about = self._kills[mutant.module], self._by_import[mutant.module]
        took = {name: (self.cover[name].seconds, name) for name in names}
        killers = sorted(
            (one for one in took if near[one]), key=lambda one: (-here[one], -near[one], took[one])
        )
        worth = {name: self._everywhere[name] / (took[name][0] + SETTING_UP_S) for name in took}
        by_worth = sorted(filter(worth.get, took), key=lambda one: (-worth[one], took[one]))
        by_file = sorted(took, key=lambda one: (one not in about, took[one]))
        turns = zip_longest(by_worth, by_file)
        return list(dict.fromkeys((*killers, *(one for pair in turns for one in pair if one))))

    def _within_patience(self, names: Iterable[str]) -> Iterator[str]:
        spent = 0.0
        for name in names:
            spent += self.cover[name].seconds
            if spent > self._patience_s + self.cover[name].seconds:
                return
            yield name


def _uses() -> dict[str, set[tuple[str, int]]]:
    """Name to the places of the core that read it, bare or as an attribute."""
    found = defaultdict(set)
    for source in sources():
        for node in ast.walk(ast.parse((ROOT / source).read_text("utf-8"))):
            match node:
                case ast.Name(name, ast.Load()) | ast.Attribute(_, name, ast.Load()):
                    found[name].add((source, node.lineno))
    return found


def _imported(file: str) -> set[str]:
    """The modules, as paths, that a test file imports itself."""
    found = set()
    for node in ast.walk(ast.parse((ROOT / file).read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
            found |= {name.replace(".", "/") + ".py" for name in names}
    return found


def known_package(name: str) -> str:
    """The name of a part of the core, or a way out that says which there are."""
    if name not in PACKAGES:
        raise SystemExit(f"There is no part {name}: choose from {', '.join(PACKAGES)}.")
    return name
