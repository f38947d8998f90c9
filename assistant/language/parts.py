"""A grammar made ready for matching: parts that know what they can begin with.

Three ideas make it quick.  A choice looks its alternatives up by the next word, so that of the
hundreds of names and phrases only the few that begin with it are tried (the FIRST sets of Aho,
Sethi and Ullman, Compilers, 1986, section 4.4).  Alternatives that are plain words are compared as
whole phrases.  And rules, nested choices and nested sequences are joined once, beforehand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from assistant.language.jsgf import leaves
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

ANY_FIGURE = "0-9"
"""What stands for a figure that is no word of the grammar."""

STRANGE = ""
"""What stands for any other word, and for the end: nothing begins with it."""

Words = tuple[str, ...]

Ways = frozenset[Marks]
"""The marks of each different reading of one stretch."""

Ends = Mapping[int, Ways]
"""Where a part that begins at one place can end, and its readings up to there."""

UNMARKED: Ways = frozenset({()})
NOWHERE: Ends = {}


class Places(Protocol):
    """What a part needs to know of an utterance."""

    words: Words

    def ends(self, part: Part, at: int) -> Ends:
        """Where `part` can end when it begins at this word."""
        ...


class Part(Protocol):
    """A piece of a grammar."""

    @property
    def begins(self) -> frozenset[str]:
        """The words that it can begin with."""
        ...

    @property
    def empty(self) -> bool:
        """Whether it can match no words at all."""
        ...

    def ends(self, places: Places, at: int) -> Ends:
        """Where it can end, begun at a word that it can begin with."""
        ...


class Phrase(NamedTuple):
    """Words in their order; without words it matches nothing at all, at no cost."""

    words: Words
    begins: frozenset[str]
    empty: bool

    def ends(self, places: Places, at: int) -> Ends:
        """Its end, where all of its words stand."""
        end = at + len(self.words)
        return {end: UNMARKED} if places.words[at:end] == self.words else NOWHERE


@dataclass(frozen=True, slots=True, eq=False)
class Alternatives:
    """Any one of `each`: found by the word that it begins with, or `always` if it needs none."""

    each: tuple[Part, ...]
    phrases: Mapping[str, Iterable[Words]]
    parts: Mapping[str, Iterable[Part]]
    always: Iterable[Part]
    begins: frozenset[str]
    empty: bool

    def ends(self, places: Places, at: int) -> Ends:
        """All ends of the few that can begin with the word that stands here."""
        words = places.words
        found: dict[int, Ways] = {}
        for phrase in self.phrases.get(words[at], ()):
            end = at + len(phrase)
            if words[at:end] == phrase:
                found[end] = UNMARKED
        for part in self.parts.get(words[at], self.always):
            for end, ways in places.ends(part, at).items():
                _add(found, end, ways)
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Succession:
    """All of its parts, one after another."""

    parts: tuple[Part, ...]
    begins: frozenset[str]
    empty: bool

    def ends(self, places: Places, at: int) -> Ends:
        """The ends of its last part, begun at each end of the one before it."""
        ends: Ends = {at: UNMARKED}
        for part in self.parts:
            ends = _onward(ends, part, places)
            if not ends:
                break
        return ends


@dataclass(frozen=True, slots=True, eq=False)
class Repeated:
    """Its part at least `least` times and at most `most` (None: no limit)."""

    part: Part
    times: tuple[int, int | None]
    begins: frozenset[str]
    empty: bool

    def ends(self, places: Places, at: int) -> Ends:
        """The ends after each number of times; each time has to come further on."""
        least, most = self.times
        ends: Ends = {at: UNMARKED}
        found = dict(ends) if least == 0 else {}
        count = 0
        while ends and (most is None or count < most):
            ends = _onward(ends, self.part, places, further=1)
            count += 1
            if count >= least:
                for end, ways in ends.items():
                    _add(found, end, ways)
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Marked:
    """Its part, with a mark over the words that it matched."""

    part: Part
    tag: str
    begins: frozenset[str]
    empty: bool

    def ends(self, places: Places, at: int) -> Ends:
        """The ends of its part, each reading with the mark put before its others."""
        return {
            end: frozenset([(Mark(self.tag, at, end), *marks) for marks in ways])
            for end, ways in places.ends(self.part, at).items()
        }


def _onward(ends: Ends, part: Part, places: Places, further: int = 0) -> Ends:
    """The ends of `part` begun at each of these, at least so many words further on."""
    onward: dict[int, Ways] = {}
    for middle, before in ends.items():
        for end, after in places.ends(part, middle).items():
            if end >= middle + further:
                _add(onward, end, _joined(before, after))
    return onward


def _joined(before: Ways, after: Ways) -> Ways:
    if after is UNMARKED:
        return before
    if before is UNMARKED:
        return after
    return _bounded(frozenset([one + other for one in before for other in after]))


def _add(found: dict[int, Ways], end: int, ways: Ways) -> None:
    found[end] = _bounded(found[end] | ways) if end in found else ways


def _bounded(ways: Ways) -> Ways:
    if len(ways) <= READINGS_LIMIT:
        return ways
    in_order = sorted(ways, key=lambda marks: [(m.start, m.end, m.tag) for m in marks])
    return frozenset(in_order[:READINGS_LIMIT])


class Preparation:
    """Makes the parts of a grammar, each rule's once.

    The marks that say who may say something are left out: they mean nothing else.
    """

    def __init__(self, grammar: Grammar) -> None:
        self._grammar = grammar
        self._rules: dict[str, Part] = {}
        found = (leaf for node in grammar.rules.values() for leaf in leaves(node))
        self.vocabulary = frozenset(plain(leaf.text) for leaf in found if isinstance(leaf, Word))
        figures = (word for word in self.vocabulary if FIGURE.fullmatch(word))
        self._figure = _alternatives([_phrase(word) for word in (ANY_FIGURE, *figures)])

    def root(self) -> Part:
        """The part that a whole utterance has to match."""
        return self._rule(self._grammar.root)

    def _rule(self, name: str) -> Part:
        known = self._rules.get(name)
        if known is None:
            known = self._rules[name] = self._part(self._grammar.rules[name])
        return known

    def _part(self, node: Node) -> Part:
        match node:
            case Word(text):
                return _phrase(plain(text))
            case Figure():
                return self._figure
            case Rule(name):
                return self._rule(name)
            case Sequence(items):
                words = [plain(item.text) for item in items if isinstance(item, Word)]
                said = len(words) == len(items)
                return _phrase(*words) if said else _succession(map(self._part, items))
            case Choice(items):
                return _alternatives(map(self._part, items))
            case Repeat(item, least, most):
                part = self._part(item)
                return Repeated(part, (least, most), part.begins, part.empty or not least)
            case Tagged(item, tag):
                part = self._part(item)
                return part if tag in FOR_SOME else Marked(part, tag, part.begins, part.empty)


def _phrase(*words: str) -> Phrase:
    return Phrase(words, frozenset(words[:1]), not words)


def _succession(items: Iterable[Part]) -> Part:
    """The items one after another, neighbouring words as one phrase."""
    parts: list[Part] = []
    for item in items:
        for part in item.parts if isinstance(item, Succession) else (item,):
            before = parts[-1] if parts else None
            if isinstance(before, Phrase) and isinstance(part, Phrase):
                parts[-1] = _phrase(*before.words, *part.words)
            else:
                parts.append(part)
    if len(parts) < 2:  # noqa: PLR2004 - a succession takes two
        return parts[0] if parts else _phrase()
    return Succession(tuple(parts), _begins(parts), all(part.empty for part in parts))


def _begins(parts: Iterable[Part]) -> frozenset[str]:
    """What parts can begin with that stand one after another."""
    found: frozenset[str] = frozenset()
    for part in parts:
        found |= part.begins
        if not part.empty:
            break
    return found


def _alternatives(items: Iterable[Part]) -> Alternatives:
    """Any one of the items, those of a choice among them taken one by one."""
    each = tuple(
        one for item in items for one in (item.each if isinstance(item, Alternatives) else (item,))
    )
    phrases: dict[str, list[Words]] = {}
    parts: dict[str, list[Part]] = {}
    always = [one for one in each if one.empty]
    for one in each:
        if isinstance(one, Phrase) and one.words:
            phrases.setdefault(one.words[0], []).append(one.words)
        elif not one.empty:
            for word in one.begins:
                parts.setdefault(word, [*always]).append(one)
    begins = frozenset(phrases).union(parts, *(one.begins for one in always))
    return Alternatives(each, phrases, parts, always, begins, bool(always))
