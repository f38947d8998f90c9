"""How a spoken word may be written by an ear that writes text: letters, capitals and figures.

Each form stands for exactly one word of the grammar, so that what such an ear writes is turned
back into the grammar's own words.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.language.numerals import DIGITS, TEENS, TENS
from assistant.language.shaping import FOR_SOME, cut
from assistant.language.tree import Choice, Figure, Grammar, Node, Repeat, Sequence, Tagged, Word

FIGURES = "#"
"""The word that stands for a number written in figures; no word of a grammar holds this sign."""

_NUMBERS: Mapping[str, str] = {
    **{word: str(number) for number, word in enumerate(DIGITS, start=1)},
    **{word: str(number) for number, word in enumerate(TEENS, start=10)},
    **{word: str(10 * number) for number, word in enumerate(TENS, start=2)},
    **dict.fromkeys(("oh", "zero", "nought"), "0"),
}

_OTHERS: Mapping[str, tuple[str, ...]] = {
    "oh": ("o", "O"),
    "nought": ("naught",),
    "gram": ("g",),
    "grams": ("g", "gm"),
    "kilo": ("kg",),
    "kilos": ("kg",),
    "kilogram": ("kg",),
    "kilograms": ("kg",),
    "ounce": ("oz",),
    "ounces": ("oz",),
    "pound": ("lb",),
    "pounds": ("lb", "lbs"),
    "okay": ("ok", "OK"),
    "er": ("uh",),
    "grey": ("gray",),
    "gray": ("grey",),
    "rumped": ("rump",),
    "goodbye": ("good bye",),
    "irn": ("IRN",),
    "gcc": ("GCC",),
    "cag": ("CAG",),
    "tag": ("TAG",),
}
"""Spellings, abbreviations and word breaks beside the word itself; each is one of the same sound
or the usual short form of the same word."""


_CAPITAL = 1.0

_SMALL = frozenset(
    (
        *_NUMBERS,
        *("hundred", "thousand", "point", "half", "quarter", "quarters", "and", "a", "an"),
        *("gram", "grams", "kilo", "kilos", "kilogram", "kilograms", "please", "thanks", "you"),
        *("ounce", "ounces", "pound", "pounds", "is", "at", "of", "weighs", "weighing"),
    )
)


def for_writing_ears(grammar: Grammar) -> Grammar:
    """The part of the grammar that can be spoken, for an ear that writes "95" as well as words.

    What only a keyboard may say is left out, as for any ear; the place of a number in figures is
    kept, as the word FIGURES.
    """
    spoken = cut(grammar, lambda node: not (isinstance(node, Tagged) and node.tag in FOR_SOME))
    return Grammar(spoken.root, {name: _marked(node) for name, node in spoken.rules.items()})


def _marked(node: Node) -> Node:
    match node:
        case Figure():
            return Word(FIGURES)
        case Sequence(items):
            return Sequence(tuple(map(_marked, items)))
        case Choice(items):
            return Choice(tuple(map(_marked, items)))
        case Repeat(item, least, most):
            return Repeat(_marked(item), least, most)
        case Tagged(item, tag):
            return Tagged(_marked(item), tag)
        case _:
            return node


def written_forms(word: str) -> Mapping[str, float]:
    """Every way to write the word, without punctuation around it, each with its rarity.

    A number or a small word is seldom written with a capital, a name often.
    """
    spelt = [word, *_OTHERS.get(word, ())]
    if "'" in word:
        spelt.append(word.replace("'", ""))
    forms = {form[0].upper() + form[1:]: _CAPITAL * (word in _SMALL) for form in spelt}
    forms |= {_NUMBERS[word]: 0.0} if word in _NUMBERS else {}
    return forms | dict.fromkeys(spelt, 0.0)


def unwritten(figures: str) -> str:
    """Figures as the grammar takes them: 1,250 and 12:50 are 1250, and .5 is 0.5."""
    plain = figures.replace(",", "").replace(":", "")
    return f"0{plain}" if plain.startswith(".") else plain
