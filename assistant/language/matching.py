"""Matching words against a grammar: every way in which the whole utterance fits, as marks.

What a part of the grammar can start with is worked out once, so that of the hundreds of names and
phrases only the few that begin with the word at hand are looked into.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from assistant.language.shaping import FOR_SOME
from assistant.language.tree import (
    FIGURE,
    Choice,
    Figure,
    Grammar,
    Mark,
    Marks,
    Node,
    Repeat,
    Rule,
    Sequence,
    Tagged,
    Word,
    plain,
)

READINGS_LIMIT = 60
"""How many different readings of one stretch are followed; two already make a question."""

_Ends = dict[int, frozenset[Marks]]

_NOTHING: frozenset[Marks] = frozenset({()})


@dataclass(frozen=True, slots=True)
class _Starts:
    """What a node can begin with: these words, a figure, or nothing at all."""

    words: frozenset[str] = frozenset()
    figure: bool = False
    empty: bool = False

    def fits(self, word: str | None) -> bool:
        """Whether the node can match where this word stands next; None is the end."""
        if self.empty:
            return True
        if word is None:
            return False
        return word in self.words or (self.figure and FIGURE.fullmatch(word) is not None)


@dataclass(frozen=True, slots=True)
class _Branches:
    """The items of a choice by the word they can begin with; `others` begin otherwise."""

    by_word: dict[str, list[Node]]
    others: tuple[Node, ...]

    def at(self, word: str | None) -> Iterable[Node]:
        """The items worth trying where this word stands next."""
        return (*self.by_word.get(word or "", ()), *self.others)


class Matcher:
    """A grammar made ready for matching."""

    def __init__(self, grammar: Grammar) -> None:
        self.grammar = grammar
        self._starts: dict[int, _Starts] = {}
        self._branches: dict[int, _Branches] = {}

    def readings(self, words: tuple[str, ...]) -> frozenset[Marks]:
        """The marks of every distinct reading of the whole utterance.

        The mark `typed` is left out: it says who may say the words, not what they mean.
        """
        return _Utterance(self, words).readings()

    def starts(self, node: Node) -> _Starts:
        """What `node` can begin with."""
        known = self._starts.get(id(node))
        if known is None:
            known = self._starts[id(node)] = self._work_out(node)
        return known

    def branches(self, choice: Choice) -> _Branches:
        """The items of `choice`, found by their first word."""
        known = self._branches.get(id(choice))
        if known is None:
            known = self._branches[id(choice)] = self._sorted(choice)
        return known

    def _work_out(self, node: Node) -> _Starts:
        match node:
            case Word(text):
                return _Starts(frozenset({plain(text)}))
            case Figure():
                return _Starts(figure=True)
            case Rule(name):
                return self.starts(self.grammar.rules[name])
            case Tagged(item=item):
                return self.starts(item)
            case Repeat(item=item, least=least):
                inner = self.starts(item)
                return _Starts(inner.words, inner.figure, inner.empty or not least)
            case Choice(items):
                found = [self.starts(item) for item in items]
                return _either(found, empty=any(one.empty for one in found))
            case Sequence(items):
                return self._of_sequence(items)

    def _of_sequence(self, items: tuple[Node, ...]) -> _Starts:
        found: list[_Starts] = []
        for item in items:
            found.append(self.starts(item))
            if not found[-1].empty:
                return _either(found, empty=False)
        return _either(found, empty=True)

    def _sorted(self, choice: Choice) -> _Branches:
        by_word: dict[str, list[Node]] = {}
        others: list[Node] = []
        for item in choice.items:
            starts = self.starts(item)
            if starts.empty or starts.figure:
                others.append(item)
                continue
            for word in starts.words:
                by_word.setdefault(word, []).append(item)
        return _Branches(by_word, tuple(others))


def _either(several: list[_Starts], *, empty: bool) -> _Starts:
    words = frozenset().union(*(one.words for one in several))
    return _Starts(words, any(one.figure for one in several), empty)


class _Utterance:
    """One utterance against one grammar.

    Every (node, position) is worked out once, so the cost grows with the length of the utterance
    times the size of the grammar, whatever the words are.
    """

    def __init__(self, matcher: Matcher, words: tuple[str, ...]) -> None:
        self._matcher = matcher
        self._words: tuple[str | None, ...] = (*map(plain, words), None)
        self._known: list[dict[int, _Ends]] = [{} for _ in self._words]

    def readings(self) -> frozenset[Marks]:
        grammar = self._matcher.grammar
        whole = self._ends(grammar.rules[grammar.root], 0)
        return whole.get(len(self._words) - 1, frozenset())

    def _ends(self, node: Node, at: int) -> _Ends:
        known = self._known[at].get(id(node))
        if known is None:
            fits = self._matcher.starts(node).fits(self._words[at])
            known = self._known[at][id(node)] = self._work_out(node, at) if fits else {}
        return known

    def _work_out(self, node: Node, at: int) -> _Ends:
        match node:
            case Word() | Figure():
                return {at + 1: _NOTHING}
            case Rule(name):
                return self._ends(self._matcher.grammar.rules[name], at)
            case Choice():
                branches = self._matcher.branches(node).at(self._words[at])
                return _merged([self._ends(item, at) for item in branches])
            case Sequence(items):
                return self._sequence(items, at)
            case Repeat(item, least, most):
                return self._repeat(item, at, (least, most))
            case Tagged(item, tag):
                ends = self._ends(item, at)
                return ends if tag in FOR_SOME else _marked(ends, tag, at)

    def _sequence(self, items: tuple[Node, ...], at: int) -> _Ends:
        ends: _Ends = {at: _NOTHING}
        for item in items:
            ends = self._then(ends, item)
            if not ends:
                break
        return ends

    def _repeat(self, item: Node, at: int, times: tuple[int, int | None]) -> _Ends:
        least, most = times
        ends: _Ends = {at: _NOTHING}
        reached = [ends] if least == 0 else []
        count = 0
        while ends and (most is None or count < most):
            ends = self._then(ends, item, progress=True)
            count += 1
            if count >= least:
                reached.append(ends)
        return _merged(reached)

    def _then(self, ends: _Ends, item: Node, *, progress: bool = False) -> _Ends:
        onward: list[_Ends] = []
        for middle, before in ends.items():
            after = self._ends(item, middle)
            if progress:
                after = {end: ways for end, ways in after.items() if end > middle}
            if after and before is not _NOTHING:
                after = {end: _joined(before, ways) for end, ways in after.items()}
            onward.append(after)
        return _merged(onward)


def _marked(ends: _Ends, tag: str, at: int) -> _Ends:
    return {
        end: frozenset((Mark(tag, at, end), *marks) for marks in ways) for end, ways in ends.items()
    }


def _joined(before: frozenset[Marks], after: frozenset[Marks]) -> frozenset[Marks]:
    if after is _NOTHING:
        return before
    return _bounded(frozenset(a + b for a in before for b in after))


def _merged(several: list[_Ends]) -> _Ends:
    several = [ends for ends in several if ends]
    if len(several) <= 1:
        return several[0] if several else {}
    merged = dict(several[0])
    for ends in several[1:]:
        for end, ways in ends.items():
            merged[end] = _bounded(merged[end] | ways) if end in merged else ways
    return merged


def _bounded(ways: frozenset[Marks]) -> frozenset[Marks]:
    if len(ways) <= READINGS_LIMIT:
        return ways
    in_order = sorted(ways, key=lambda marks: [(m.start, m.end, m.tag) for m in marks])
    return frozenset(in_order[:READINGS_LIMIT])
