"""The tree that every grammar becomes: matched against text, sampled, and compiled for an ear.

A node is one of six shapes.  A tag marks a stretch of words with what it means; matching returns
the marks, so nothing has to be parsed twice.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

FIGURE = re.compile(r"[0-9][0-9,]*(?:\.[0-9]+)?|\.[0-9]+")


@dataclass(frozen=True, slots=True)
class Word:
    """One word, as it is spoken: lower case, apostrophes kept."""

    text: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A number written in figures; only a keyboard brings one."""


@dataclass(frozen=True, slots=True)
class Sequence:
    """All items, one after another; without items it matches nothing at all, at no cost."""

    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """Any one of the items; without items it can never match."""

    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Repeat:
    """The item over and over: at least `least` times, at most `most` (None: no limit)."""

    item: Node
    least: int
    most: int | None


@dataclass(frozen=True, slots=True)
class Tagged:
    """The item, with a mark over the words that it matched."""

    item: Node
    tag: str


@dataclass(frozen=True, slots=True)
class Rule:
    """A reference to a named rule."""

    name: str


Node = Word | Figure | Sequence | Choice | Repeat | Tagged | Rule

EMPTY = Sequence(())
NEVER = Choice(())


@dataclass(frozen=True, slots=True)
class Grammar:
    """Named rules and the one that a whole utterance must match."""

    root: str
    rules: Mapping[str, Node]


class Mark(NamedTuple):
    """A stretch of words, from `start` up to but not including `end`, and what it means."""

    tag: str
    start: int
    end: int


Marks = tuple[Mark, ...]


def plain(word: str) -> str:
    """The word as it is compared: without its apostrophes, so that bourke's and bourkes agree."""
    return word.replace("'", "")


def phrase(text: str) -> Node:
    """A node for a fixed phrase, hyphens read as spaces."""
    words = tuple(Word(word) for word in text.lower().replace("-", " ").split())
    return words[0] if len(words) == 1 else Sequence(words)
