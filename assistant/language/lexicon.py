"""The keeper's own words put into the grammar: one tree for the keyboard and for every ear."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from assistant.dosing.medicine import Medicine
from assistant.dosing.names import fold, spoken_form
from assistant.dosing.species import Aviary
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.jsgf import read_grammar, write_grammar
from assistant.language.matching import Matcher
from assistant.language.numerals import digit_words, digits_said
from assistant.language.requests import Named
from assistant.language.shaping import TYPED, Choose, for_ears, phrases, words_of
from assistant.language.tree import (
    Choice,
    Figure,
    Grammar,
    Node,
    Sequence,
    Tagged,
    Word,
    phrase,
    plain,
)


@dataclass(frozen=True)
class Lexicon:
    """The grammar with its slots filled, and what each name in it stands for."""

    grammar: Grammar
    aviary: Aviary
    medicines: Mapping[str, Medicine]

    @cached_property
    def matcher(self) -> Matcher:
        """The grammar made ready for matching."""
        return Matcher(self.grammar)

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word of the grammar, as it is compared."""
        return frozenset(map(plain, words_of(self.grammar)))

    @cached_property
    def bird_names(self) -> Mapping[str, frozenset[str]]:
        """Each name of a bird, as it is compared, with the common names it stands for."""
        return {fold(name): frozenset(meant) for name, meant in self.aviary.spoken_names().items()}

    def birds(self, spoken: str) -> tuple[Named, ...]:
        """All birds and species that go by this name."""
        ring = digits_said(spoken.removeprefix("ring ").split())
        readings = (spoken, spoken.removesuffix("s"), f"ring {ring}")
        return next((found for one in readings if (found := self.aviary.named(one))), ())

    def medicine(self, spoken: str) -> Medicine | None:
        """The medicine of this spoken name, or None."""
        return self.medicines.get(fold(spoken))

    def engine_grammar(self, unheard: frozenset[str], choose: Choose) -> EngineGrammar:
        """The grammar for an ear that cannot hear the words in `unheard`."""
        spoken = for_ears(self.grammar, unheard)
        return EngineGrammar(
            write_grammar(spoken, "dosewren"), words_of(spoken), phrases(spoken, choose)
        )


def build(text: str, aviary: Aviary, medicines: Iterable[Medicine]) -> Lexicon:
    """The lexicon from the text of the grammar and the keeper's names.

    Raises GrammarProblem when the text is no grammar.
    """
    by_name = {
        fold(name): medicine for medicine in medicines for name in (medicine.name, *medicine.spoken)
    }
    slots: dict[str, Node] = {
        "written.figure": Figure(),
        "kept.bird": Choice(
            (
                *_names(aviary.spoken_names()),
                *_plurals(aviary.spoken_names()),
                *_rings(aviary.rings()),
            )
        ),
        "kept.medicine": Choice(_names(by_name)),
    }
    return Lexicon(read_grammar(text, slots), aviary, by_name)


def _names(names: Iterable[str]) -> tuple[Node, ...]:
    return tuple(phrase(spoken_form(name)) for name in names)


def _plurals(names: Iterable[str]) -> tuple[Node, ...]:
    """A name with an s too many, as in cockatiels or bourkes, from a keyboard only."""
    known = {fold(name) for name in names}
    added = sorted({f"{name}s" for name in known if not name.endswith("s")} - known)
    return tuple(Tagged(phrase(name), TYPED) for name in added)


def _rings(rings: Iterable[str]) -> Iterable[Node]:
    """A ring as it is read out, 'ring four seven one', and as it is typed."""
    for ring in rings:
        yield Tagged(phrase(f"ring {ring}"), TYPED)
        if ring.isdecimal():
            yield Sequence((Word("ring"), phrase(digit_words(ring))))
