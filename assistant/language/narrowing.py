"""The grammar narrowed to what is expected: the same rules, without what was not asked for."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.dosing.names import fold
from assistant.language.expected import CONTROLS, TAGS, Expected, Fit, Saying, fit
from assistant.language.lexicon import BIRD, Lexicon
from assistant.language.requests import Named
from assistant.language.shaping import cut
from assistant.language.tree import Choice, Grammar, Node, Rule, Sequence, Tagged, Word
from assistant.language.understanding import understand

_REQUESTS = CONTROLS.union(*TAGS.values()) | {
    *("count", "remaining", "shaken", "medicine_named", "tare_which"),
    *("left", "spilled", "due", "next_cage", "cage_which", "recaught", "breeding", "moulting"),
    *("short_answers", "full_answers", "slower", "faster", "louder", "softer", "tones"),
}
"""The tags of whole requests: those that were not expected are cut away."""

_DOSES = frozenset(
    {"bird_first", "weight_first", "bird_only", "weight_only", "another", "unusual", "pair"}
)
"""The rules that a dose is asked for by; a weight or a bird alone needs but one of them."""


def narrowed(lexicon: Lexicon, expected: Expected) -> Grammar:
    """The part of the lexicon's grammar that says what is expected; all of it for ANYTHING.

    Weights on offer do not narrow it: neither may be right, and an ear that knew only these would
    have to take another number for one of them.
    """
    grammar = lexicon.grammar
    if not expected.sayings:
        return grammar
    if Saying.BIRD in expected and expected.birds:
        names = _names_of(expected.birds, lexicon)
        grammar = Grammar(grammar.root, {**grammar.rules, BIRD: Choice(tuple(names))})
    unwanted_tags = _REQUESTS - expected.tags
    unwanted_rules = _DOSES - _dose_rules(expected)

    def keep(node: Node) -> bool:
        match node:
            case Tagged(tag=tag):
                return tag not in unwanted_tags
            case Rule(name):
                return name not in unwanted_rules
            case _:
                return True

    return cut(grammar, keep)


def fit_of(words: str, expected: Expected, lexicon: Lexicon) -> Fit:
    """How well the words fit; those with several meanings, or none, are no answer."""
    read = understand(words, lexicon)
    if read.doubt is not None or len(read.requests) != 1:
        return Fit.OTHER
    return fit(read.requests[0], expected)


def _dose_rules(expected: Expected) -> frozenset[str]:
    rules = {Saying.WEIGHT: "weight_only", Saying.BIRD: "bird_only"}
    return frozenset(rule for saying, rule in rules.items() if saying in expected)


def _names_of(birds: Iterable[Named], lexicon: Lexicon) -> list[Node]:
    """Every spoken name by which just one of these birds is told from the others."""
    offered = set(birds)
    names = lexicon.grammar.rules[BIRD]
    return [
        node
        for node in (names.items if isinstance(names, Choice) else (names,))
        if len(offered.intersection(lexicon.named.get(fold(_text(node)), ()))) == 1
    ]


def _text(name: Node) -> str:
    """The words of a name; what only a keyboard may say is passed over."""
    match name:
        case Word(text):
            return text
        case Sequence(items):
            return " ".join(map(_text, items))
        case _:
            return ""
