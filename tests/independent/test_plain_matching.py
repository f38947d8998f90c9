"""Matching against a plain matcher, written from the meaning of each shape and nothing else.

It tries every alternative at every word, remembers nothing and looks nothing up, so it shares no
idea with ours; grammars and utterances are made at random.
"""

from __future__ import annotations

from collections.abc import Iterator

from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.language.matching import Matcher
from assistant.language.tree import (
    Choice,
    Figure,
    Grammar,
    Node,
    Repeat,
    Rule,
    Sequence,
    Tagged,
    Word,
)

Way = tuple[int, tuple[tuple[str, int, int], ...]]
"""Where a reading ends, and its marks."""

WORDS = ("red", "owl's", "12")
SAID = st.lists(st.sampled_from(["red", "red", "owls", "12", "95"]), max_size=4).map(tuple)
MOST_WAYS = 40
"""Fewer than are followed before some are dropped."""


def fits(node: Word | Figure, word: str) -> bool:
    return word.isdecimal() if isinstance(node, Figure) else word == node.text.replace("'", "")


def ways(node: Node, said: tuple[str, ...], at: int, rules: dict[str, Node]) -> Iterator[Way]:
    """Every way in which the node fits from this word on."""
    match node:
        case Word() | Figure():
            if at < len(said) and fits(node, said[at].replace("'", "")):
                yield at + 1, ()
        case Rule(name):
            yield from ways(rules[name], said, at, rules)
        case Choice(items):
            for item in items:
                yield from ways(item, said, at, rules)
        case Tagged(item, tag):
            for end, marks in ways(item, said, at, rules):
                yield end, marks if tag == "typed" else ((tag, at, end), *marks)
        case Repeat(item, least, most):
            times = least, len(said) if most is None else most
            yield from over_and_over(item, said, at, times, rules)
        case Sequence(items):
            yield from in_a_row(items, said, at, rules)


def in_a_row(
    items: tuple[Node, ...], said: tuple[str, ...], at: int, rules: dict[str, Node]
) -> Iterator[Way]:
    if not items:
        yield at, ()
        return
    for middle, before in ways(items[0], said, at, rules):
        for end, after in in_a_row(items[1:], said, middle, rules):
            yield end, before + after


def over_and_over(
    item: Node, said: tuple[str, ...], at: int, times: tuple[int, int], rules: dict[str, Node]
) -> Iterator[Way]:
    """A time that takes no word is no time: there would be no end of them."""
    least, most = times
    if least <= 0:
        yield at, ()
    for middle, before in ways(item, said, at, rules) if most else ():
        if middle > at:
            for end, after in over_and_over(item, said, middle, (least - 1, most - 1), rules):
                yield end, before + after


LEAVES = st.sampled_from([*map(Word, WORDS), Figure(), Rule("inner"), Sequence(()), Choice(())])


def larger(node: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
    several = st.lists(node, min_size=1, max_size=4).map(tuple)
    times = st.sampled_from([(0, 1), (0, None), (1, None), (1, 2), (0, 2)])
    return (
        several.map(Sequence)
        | several.map(Choice)
        | st.builds(lambda item, few: Repeat(item, *few), node, times)
        | st.builds(Tagged, node, st.sampled_from(["x", "y", "typed"]))
    )


NODES = st.recursive(LEAVES, larger, max_leaves=12)
INNER = st.recursive(LEAVES.filter(lambda node: node != Rule("inner")), larger, max_leaves=6)


@given(NODES, INNER, SAID)
def test_both_find_the_same_readings_of_the_whole(outer: Node, inner: Node, said: tuple[str, ...]):
    rules = {"outer": outer, "inner": inner}
    plain = {marks for end, marks in ways(outer, said, 0, rules) if end == len(said)}
    assume(len(plain) <= MOST_WAYS)
    assert Matcher(Grammar("outer", rules)).readings(said) == plain


@given(NODES, INNER, SAID)
def test_a_stretch_reads_as_it_would_alone(outer: Node, inner: Node, said: tuple[str, ...]):
    matcher = Matcher(Grammar("outer", {"outer": outer, "inner": inner}))
    chart = matcher.chart(said)
    for start in range(len(said)):
        for end in range(start, len(said) + 1):
            alone = {
                tuple((tag, first + start, last + start) for tag, first, last in marks)
                for marks in matcher.readings(said[start:end])
            }
            assert chart.readings(start, end) == alone
