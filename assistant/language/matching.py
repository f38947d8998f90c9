"""Matching words against a grammar: every way in which the whole utterance fits, as marks."""

from __future__ import annotations

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

READINGS_LIMIT = 12
"""How many different readings of one stretch are followed; more than a few is a question anyway."""

_Ends = dict[int, frozenset[Marks]]


class Matcher:
    """One utterance against one grammar.

    Every (node, position) is worked out once, so the cost grows with the length of the utterance
    times the size of the grammar, whatever the words are.
    """

    def __init__(self, grammar: Grammar, words: tuple[str, ...]) -> None:
        self._rules = grammar.rules
        self._root = grammar.root
        self._words = tuple(plain(word) for word in words)
        self._known: dict[tuple[int, int], _Ends] = {}

    def readings(self) -> frozenset[Marks]:
        """The marks of every distinct reading of the whole utterance."""
        return self._ends(self._rules[self._root], 0).get(len(self._words), frozenset())

    def _ends(self, node: Node, at: int) -> _Ends:
        key = (id(node), at)
        if key not in self._known:
            self._known[key] = self._work_out(node, at)
        return self._known[key]

    def _work_out(self, node: Node, at: int) -> _Ends:
        match node:
            case Word(text):
                fits = at < len(self._words) and self._words[at] == plain(text)
                return {at + 1: _NOTHING} if fits else {}
            case Figure():
                fits = at < len(self._words) and FIGURE.fullmatch(self._words[at]) is not None
                return {at + 1: _NOTHING} if fits else {}
            case Rule(name):
                return self._ends(self._rules[name], at)
            case Choice(items):
                return _merged([self._ends(item, at) for item in items])
            case Sequence(items):
                return self._sequence(items, at)
            case Repeat(item, least, most):
                return self._repeat(item, at, (least, most))
            case Tagged(item, tag):
                return {
                    end: frozenset((Mark(tag, at, end), *marks) for marks in ways)
                    for end, ways in self._ends(item, at).items()
                }

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
            onward.extend(
                {end: frozenset(a + b for a in before for b in after)}
                for end, after in self._ends(item, middle).items()
                if end > middle or not progress
            )
        return _merged(onward)


_NOTHING: frozenset[Marks] = frozenset({()})


def _merged(several: list[_Ends]) -> _Ends:
    merged: dict[int, set[Marks]] = {}
    for ends in several:
        for end, ways in ends.items():
            merged.setdefault(end, set()).update(ways)
    return {end: _bounded(ways) for end, ways in merged.items()}


def _bounded(ways: set[Marks]) -> frozenset[Marks]:
    if len(ways) <= READINGS_LIMIT:
        return frozenset(ways)
    in_order = sorted(ways, key=lambda marks: [(m.start, m.end, m.tag) for m in marks])
    return frozenset(in_order[:READINGS_LIMIT])
