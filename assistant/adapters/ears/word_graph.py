"""A grammar as the smallest automaton over words, which is what makes a search through it quick.

pocketsphinx can read JSGF itself, but joins rules by empty steps, and joins each of those to every
other: our grammar became 24 seconds of work and a search slower than speech.  Here every rule is
made into its smallest automaton once, and put in wherever it is named.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from assistant.language.tree import Choice, Grammar, Node, Repeat, Rule, Sequence, Tagged, Word

Steps = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class WordGraph:
    """A deterministic automaton without needless states, which are numbered from 0, the start."""

    steps: tuple[Steps, ...]
    """For each state the words that may come next, each with the state that it leads to."""

    ends: frozenset[int]
    """The states in which an utterance may be over."""

    def accepts(self, words: Iterable[str]) -> bool:
        """Whether the words are a whole utterance."""
        state = 0
        for word in words:
            if word not in self.steps[state]:
                return False
            state = self.steps[state][word]
        return state in self.ends


GraphOf = Callable[[Grammar], WordGraph]
"""Makes the graph of a grammar, or knows where one is kept."""


def word_graph(grammar: Grammar) -> WordGraph:
    """The smallest automaton of a grammar; figures, which nobody speaks, are left out."""
    return _Compiler(grammar).rule(grammar.root)


@dataclass(slots=True)
class _Net:
    """An automaton in the making: steps by a word, and steps that cost no word."""

    words: list[list[tuple[str, int]]] = field(default_factory=list)
    free: list[list[int]] = field(default_factory=list)

    def state(self) -> int:
        self.words.append([])
        self.free.append([])
        return len(self.words) - 1


class _Compiler:
    """Rules made into automata, each once."""

    def __init__(self, grammar: Grammar) -> None:
        self._rules = grammar.rules
        self._made: dict[str, WordGraph] = {}

    def rule(self, name: str) -> WordGraph:
        if name not in self._made:
            net = _Net()
            start = net.state()
            end = self._lay(net, self._rules[name], start)
            self._made[name] = _smallest(*_deterministic(net, start, end))
        return self._made[name]

    def _lay(self, net: _Net, node: Node, start: int) -> int:
        """Lay the node down from `start`; returns the state after it."""
        match node:
            case Word(text):
                end = net.state()
                net.words[start].append((text, end))
                return end
            case Sequence(items):
                for item in items:
                    start = self._lay(net, item, start)
                return start
            case Choice(items):
                end = net.state()
                for item in items:
                    net.free[self._lay(net, item, start)].append(end)
                return end
            case Repeat(item, least, most):
                return self._repeated(net, Repeat(item, least, most), start)
            case Tagged(item=item):
                return self._lay(net, item, start)
            case Rule(name):
                return _put(net, self.rule(name), start)
            case _:
                return net.state()

    def _repeated(self, net: _Net, node: Repeat, start: int) -> int:
        for _ in range(node.least):
            start = self._lay(net, node.item, start)
        end = net.state()
        net.free[start].append(end)
        if node.most is None:
            again = net.state()
            net.free[start].append(again)
            net.free[self._lay(net, node.item, again)].extend((again, end))
            return end
        for _ in range(node.most - node.least):
            start = self._lay(net, node.item, start)
            net.free[start].append(end)
        return end


def _put(net: _Net, graph: WordGraph, start: int) -> int:
    """Copy a finished automaton into the net, from `start`; returns the state after it."""
    places = [net.state() for _ in graph.steps]
    end = net.state()
    net.free[start].append(places[0])
    for place, steps in zip(places, graph.steps, strict=True):
        net.words[place].extend((word, places[after]) for word, after in steps.items())
    for state in graph.ends:
        net.free[places[state]].append(end)
    return end


def _deterministic(net: _Net, start: int, end: int) -> tuple[list[dict[str, int]], set[int]]:
    """The subset construction, over the states that matter: with a word to take, or the end."""
    reach = _Reach(net, end)
    first = reach.of((start,))
    numbers = {first: 0}
    waiting = [first]
    steps: list[dict[str, int]] = []
    while len(steps) < len(waiting):
        onward: dict[str, list[int]] = {}
        for state in sorted(waiting[len(steps)]):
            for word, after in net.words[state]:
                onward.setdefault(word, []).append(after)
        row: dict[str, int] = {}
        for word, targets in onward.items():
            places = reach.of(targets)
            if places not in numbers:
                numbers[places] = len(numbers)
                waiting.append(places)
            row[word] = numbers[places]
        steps.append(row)
    return steps, {numbers[places] for places in waiting if end in places}


@dataclass(slots=True)
class _Reach:
    """Where free steps lead."""

    net: _Net
    end: int
    known: dict[int, frozenset[int]] = field(default_factory=dict)

    def of(self, states: Iterable[int]) -> frozenset[int]:
        return frozenset().union(*map(self._one, states))

    def _one(self, state: int) -> frozenset[int]:
        if state not in self.known:
            seen = {state}
            waiting = [state]
            while waiting:
                for after in self.net.free[waiting.pop()]:
                    if after not in seen:
                        seen.add(after)
                        waiting.append(after)
            matter = (one for one in seen if self.net.words[one] or one == self.end)
            self.known[state] = frozenset(matter)
        return self.known[state]


def _smallest(steps: list[dict[str, int]], ends: set[int]) -> WordGraph:
    """States that allow the same from here on become one (Moore's partition refinement)."""
    kind = [int(state in ends) for state in range(len(steps))]
    while True:
        kinds: dict[tuple[int, frozenset[tuple[str, int]]], int] = {}
        finer = [
            kinds.setdefault(
                (kind[state], frozenset((word, kind[after]) for word, after in row.items())),
                len(kinds),
            )
            for state, row in enumerate(steps)
        ]
        if len(kinds) == len(set(kind)):
            break
        kind = finer
    rows: list[Steps] = [{} for _ in kinds]
    for state, row in enumerate(steps):
        rows[finer[state]] = {word: finer[after] for word, after in row.items()}
    return WordGraph(tuple(rows), frozenset(finer[state] for state in ends))
