"""The keeper's own words put into the grammar: one tree for the keyboard and for every ear."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from assistant.dosing.medicine import Medicine
from assistant.dosing.names import fold, spoken_form
from assistant.dosing.needle import Needle
from assistant.dosing.quantities import decimal_text
from assistant.dosing.species import Aviary
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.jsgf import read_grammar, write_grammar
from assistant.language.matching import Matcher
from assistant.language.numerals import digit_words, words
from assistant.language.requests import Named
from assistant.language.shaping import TYPED, Choose, cut, for_ears, phrases, words_of
from assistant.language.tree import (
    Choice,
    Figure,
    Grammar,
    Node,
    Rule,
    Tagged,
    phrase,
    plain,
)

BIRD = "kept.bird"
"""The import that the names of birds fill."""

COLOUR = "colour"
"""The rule of what a bird may be called by its colour."""

ATTENTION = "kept.attention"
"""The import that the attention word fills; without one it is cut away."""

RING = "ring"
RING_WORDS = (RING, "band", "leg ring", "leg band")
"""What the ring on a bird's leg is called, from a keyboard."""
_RING_PART = re.compile(r"[0-9]+|[^\W\d_]+")


def speaks_of_ring(words: Iterable[str]) -> bool:
    """Whether the ring on a bird's leg is among these words."""
    return not set(RING_WORDS).isdisjoint(words)


@dataclass(frozen=True)
class Lexicon:
    """The grammar with its slots filled, and what each name in it stands for."""

    grammar: Grammar
    aviary: Aviary
    medicines: Mapping[str, Medicine]
    named: Mapping[str, tuple[Named, ...]]
    needles: Mapping[str, Needle] = field(default_factory=dict)

    @cached_property
    def matcher(self) -> Matcher:
        """The grammar made ready for matching."""
        return Matcher(self.grammar)

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word of the grammar, as it is compared."""
        return frozenset(map(plain, words_of(self.grammar)))

    @cached_property
    def colours(self) -> frozenset[str]:
        """The words of the grammar for a bird's colour, and those that make one light or dark."""
        rules = {COLOUR: self.grammar.rules[COLOUR]} if COLOUR in self.grammar.rules else {}
        return words_of(Grammar(COLOUR, rules))

    @cached_property
    def bird_names(self) -> Mapping[str, frozenset[str]]:
        """Each name of a bird, as it is compared, with the common names it stands for."""
        return {fold(name): frozenset(meant) for name, meant in self.aviary.spoken_names.items()}

    @cached_property
    def plurals(self) -> frozenset[str]:
        """The plural of each bird's name that is no other name, as it is compared."""
        return frozenset(map(_plural, self.bird_names)) - self.bird_names.keys()

    @cached_property
    def name_words(self) -> frozenset[str]:
        """Every word that stands only in names of birds, colours too, as it is compared."""
        rules = {n: node for n, node in self.grammar.rules.items() if n not in (BIRD, COLOUR)}
        others = frozenset(map(plain, words_of(Grammar(self.grammar.root, rules))))
        names = frozenset(word for name in self.bird_names for word in name.split())
        return names - others - {RING}

    @cached_property
    def names_with(self) -> Mapping[str, Mapping[str, frozenset[str]]]:
        """For each word in a bird's name, those of `bird_names` that hold it."""
        found: dict[str, dict[str, frozenset[str]]] = {}
        for name, meant in self.bird_names.items():
            for word in name.split():
                found.setdefault(word, {})[name] = meant
        return found

    @cached_property
    def unspaced(self) -> Mapping[str, str]:
        """Each name by its letters alone, so that "gold finch" finds "goldfinch"."""
        return {name.replace(" ", ""): name for name in self.named}

    def birds(self, spoken: str) -> tuple[Named, ...]:
        """All birds and species that go by this name, a ring included."""
        return self.named.get(fold(spoken), ())

    def medicine(self, spoken: str) -> Medicine | None:
        """The medicine of this spoken name, or None."""
        return self.medicines.get(fold(spoken))

    def needle(self, spoken: str) -> Needle | None:
        """The needle of the kit that goes by this name, or None."""
        return self.needles.get(fold(spoken))

    def engine_grammar(
        self, unheard: frozenset[str], choose: Choose | None = None
    ) -> EngineGrammar:
        """The grammar for an ear that cannot hear the words in `unheard`.

        With `choose` it also holds the phrases for an engine that takes a list of them.
        """
        spoken = for_ears(self.grammar, unheard)
        listed = phrases(spoken, choose) if choose else ()
        return EngineGrammar(write_grammar(spoken, "dosewren"), words_of(spoken), listed)


def build(
    text: str,
    aviary: Aviary,
    medicines: Iterable[Medicine],
    attention: str | None = None,
    needles: Sequence[Needle] = (),
) -> Lexicon:
    """The lexicon from the text of the grammar and the keeper's names.

    With an `attention` word every request may begin and end with it; with several `needles` each
    can be named.  Raises GrammarProblem when the text is no grammar.
    """
    by_name = {
        fold(name): medicine for medicine in medicines for name in (medicine.name, *medicine.spoken)
    }
    fittings = needle_names(needles)
    birds = [*_bird_names(aviary), *_ring_forms(aviary)]
    slots: dict[str, Node] = {
        "written.figure": Figure(),
        BIRD: Choice(tuple(form.node for form in birds)),
        "kept.medicine": Choice(tuple(_name_node(name) for name in by_name)),
        "kept.needle": Choice(tuple(_name_node(name) for name in fittings)),
        "kept.cage": Choice(tuple(_name_node(name) for name in _cage_names(aviary))),
        ATTENTION: phrase(spoken_form(attention or "")),
    }
    named: dict[str, tuple[Named, ...]] = {}
    for form in birds:
        key = fold(form.said)
        named[key] = tuple(dict.fromkeys((*named.get(key, ()), *form.named)))
    grammar = read_grammar(text, slots)
    if attention is None:
        grammar = cut(grammar, lambda node: node != Rule(ATTENTION))
    by_fitting = {fold(name): needle for name, needle in fittings.items()}
    return Lexicon(grammar, aviary, by_name, named, by_fitting)


def _cage_names(aviary: Aviary) -> Iterator[str]:
    """The cages of the keeper's birds that have a name and no number."""
    names = {spoken_form(bird.cage): None for bird in aviary.birds if bird.cage}
    return (name for name in names if not any(sign.isdigit() for sign in name))


def needle_names(needles: Sequence[Needle]) -> Mapping[str, Needle]:
    """What each needle of a kit is called aloud, before the word needle; none for a single one.

    Its own name and its gauge, with the length where another one has that gauge; in words first.
    """
    if len(needles) < 2:  # noqa: PLR2004 - a choice takes two
        return {}
    gauges = [one.gauge for one in needles]
    found: dict[str, Needle] = {}
    for one in needles:
        shared = gauges.count(one.gauge) > 1
        if one.called:
            found.setdefault(one.called.removesuffix(" needle"), one)
        for write in (words, decimal_text):
            length = f" {write(one.length_mm)}" if shared else ""
            found.setdefault(f"{write(Decimal(one.gauge))} gauge{length}", one)
    return found


@dataclass(frozen=True, slots=True)
class _Form:
    """One way to name a bird, and all that it may stand for."""

    said: str
    named: tuple[Named, ...]
    typed: bool = False

    @property
    def node(self) -> Node:
        return Tagged(phrase(self.said), TYPED) if self.typed else _name_node(self.said)


def _name_node(name: str) -> Node:
    """A name for the tree; one with figures in it can only be typed."""
    node = phrase(spoken_form(name))
    return Tagged(node, TYPED) if any(sign.isdigit() for sign in name) else node


def _bird_names(aviary: Aviary) -> Iterator[_Form]:
    """Every name, and from a keyboard its plural, as in cockatiels or bourkes."""
    names = aviary.spoken_names
    known = {fold(name) for name in names}
    for name in names:
        meant = aviary.named(name)
        yield _Form(name, meant)
        if (plural := _plural(fold(name))) not in known:
            yield _Form(plural, meant, typed=True)


def _plural(name: str) -> str:
    if name.endswith(("s", "x", "ch", "sh")):
        return f"{name}es"
    if name.endswith("y") and name[-2:-1] not in "aeiou":
        return f"{name[:-1]}ies"
    return f"{name}s"


def _ring_forms(aviary: Aviary) -> Iterator[_Form]:
    """A ring as it is read out, "ring four seven one", and as it is typed.

    The letters of a ring are words, its digits are said one by one, or from a keyboard as a number.
    """
    for ring, bird in aviary.rings().items():
        parts = _RING_PART.findall(spoken_form(ring))
        digits = [digit_words(part) if part.isdecimal() else part for part in parts]
        read_out = " ".join(digits)
        for form in dict.fromkeys((read_out, read_out.replace("zero", "oh"))):
            yield _Form(f"{RING} {form}", (bird,))
        numbers = [words(Decimal(part)) if part.isdecimal() else part for part in parts]
        for form in dict.fromkeys((" ".join(parts), " ".join(numbers), read_out)):
            for word in RING_WORDS:
                yield _Form(f"{word} {form}", (bird,), typed=True)
                yield _Form(f"{word} number {form}", (bird,), typed=True)
            if parts and not parts[0].isdecimal():
                yield _Form(form, (bird,), typed=True)
