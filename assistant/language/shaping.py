"""Reshaping a grammar: cut to what an ear may hear, and walked to sample sentences from it."""

from __future__ import annotations

from collections.abc import Callable

from assistant.language.jsgf import leaves, references
from assistant.language.tree import (
    EMPTY,
    NEVER,
    Choice,
    Figure,
    Grammar,
    Mark,
    Node,
    Repeat,
    Rule,
    Sequence,
    Tagged,
    Word,
)

TYPED = "typed"
"""The tag of what only a keyboard may say: no ear is given it."""

CLOSE = "close"
"""The tag of what sounds so much like something else that only an ear for phones is given it."""

FOR_SOME = frozenset({TYPED, CLOSE})
"""The tags that say who may say something; they mean nothing else."""

Choose = Callable[[int], int]
"""Picks a number from 0 up to but not including the one given."""

Keep = Callable[[Node], bool]


def cut(grammar: Grammar, keep: Keep) -> Grammar:
    """The grammar without the nodes that `keep` turns away, nor anything that needed them."""
    rules = {name: _cut(node, keep) for name, node in grammar.rules.items()}
    while dead := {name for name, node in rules.items() if node == NEVER}:
        if grammar.root in dead:
            return Grammar(grammar.root, {grammar.root: NEVER})
        rules = {
            name: _cut(node, lambda n: not (isinstance(n, Rule) and n.name in dead))
            for name, node in rules.items()
            if name not in dead
        }
    return _reachable(Grammar(grammar.root, rules))


def for_ears(grammar: Grammar, unheard: frozenset[str] = frozenset()) -> Grammar:
    """The part of the grammar that can be spoken, without the words an engine cannot hear."""
    return _spoken(grammar, FOR_SOME, unheard)


def for_fine_ears(grammar: Grammar) -> Grammar:
    """The part of the grammar for an ear that tells phones apart, with what sounds close."""
    return _spoken(grammar, frozenset({TYPED}))


def _spoken(
    grammar: Grammar, without: frozenset[str], unheard: frozenset[str] = frozenset()
) -> Grammar:
    def keep(node: Node) -> bool:
        match node:
            case Figure():
                return False
            case Tagged(tag=tag):
                return tag not in without
            case Word(text):
                return text not in unheard
            case _:
                return True

    return cut(grammar, keep)


def _cut(node: Node, keep: Keep) -> Node:
    if not keep(node):
        return NEVER
    match node:
        case Sequence(items):
            kept = tuple(_cut(item, keep) for item in items)
            return NEVER if NEVER in kept else Sequence(kept)
        case Choice(items):
            some = tuple(new for item in items if (new := _cut(item, keep)) != NEVER)
            return some[0] if len(some) == 1 else Choice(some)
        case Repeat(item, least, most):
            inner = _cut(item, keep)
            if inner == NEVER:
                return NEVER if least else EMPTY
            return Repeat(inner, least, most)
        case Tagged(item, tag):
            inner = _cut(item, keep)
            return NEVER if inner == NEVER else Tagged(inner, tag)
        case _:
            return node


def _reachable(grammar: Grammar) -> Grammar:
    wanted: dict[str, None] = {}
    waiting = [grammar.root]
    while waiting:
        name = waiting.pop()
        if name not in wanted:
            wanted[name] = None
            waiting.extend(references(grammar.rules[name]))
    return Grammar(grammar.root, {n: node for n, node in grammar.rules.items() if n in wanted})


def words_of(grammar: Grammar) -> frozenset[str]:
    """Every word that a sentence of the grammar can hold."""
    found = (leaf for node in grammar.rules.values() for leaf in leaves(node))
    return frozenset(leaf.text for leaf in found if isinstance(leaf, Word))


def sample(grammar: Grammar, choose: Choose) -> tuple[tuple[str, ...], tuple[Mark, ...]]:
    """One sentence of the grammar and the marks it was made with.

    `choose` decides every branch, so the same choices give the same sentence.
    """
    walk = _Walk(grammar, choose)
    walk.through(Rule(grammar.root))
    return tuple(walk.words), tuple(walk.marks)


class _Walk:
    """One way through a grammar, and what was met on it."""

    def __init__(self, grammar: Grammar, choose: Choose) -> None:
        self._grammar = grammar
        self._choose = choose
        self.words: list[str] = []
        self.marks: list[Mark] = []

    def through(self, node: Node) -> None:
        match node:
            case Word(text):
                self.words.append(text)
            case Figure():
                self.words.append(str(1 + self._choose(999)))
            case Rule(name):
                self.through(self._grammar.rules[name])
            case Sequence(items):
                for item in items:
                    self.through(item)
            case Choice(items):
                self.through(items[self._choose(len(items))])
            case Repeat(item, least, most):
                for _ in range(least + self._choose((most or least + 2) - least + 1)):
                    self.through(item)
            case Tagged(item, tag):
                self._marked(item, tag)

    def _marked(self, item: Node, tag: str) -> None:
        place, start = len(self.marks), len(self.words)
        self.through(item)
        self.marks.insert(place, Mark(tag, start, len(self.words)))


def phrases(grammar: Grammar, choose: Choose, most: int = 4000) -> tuple[str, ...]:
    """Sentences that together hold every pair of neighbouring words that sampling turns up.

    For an engine that takes a list of phrases and learns from it which word may follow which.  A
    sentence is kept when it brings a new pair; sampling ends when hardly any does.
    """
    seen: set[tuple[str, str]] = set()
    kept: list[str] = []
    dry = 0
    while len(kept) < most and dry < most:
        words, _ = sample(grammar, choose)
        pairs = set(zip(("", *words), (*words, ""), strict=True))
        dry = 0 if pairs - seen else dry + 1
        if pairs - seen:
            seen |= pairs
            kept.append(" ".join(words))
    return tuple(kept)
