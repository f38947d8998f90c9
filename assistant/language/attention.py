"""The attention word: what it may be, and an utterance without it.

It is the keeper's own word, such as "marlow": where one is set, talk that does not begin or end
with it is no order.  It says who is meant and nothing else, so it is taken off before the rest is
understood.
"""

from __future__ import annotations

import re

from assistant.dosing.tables import Problem
from assistant.language.lexicon import ATTENTION, Lexicon
from assistant.language.shaping import words_of
from assistant.language.tokens import tokens
from assistant.language.tree import Grammar, plain

OWN_NAME = "dosewren"
"""The name of this tool, which the grammar knows already as a greeting."""

_AROUND = r"[\s,.!?:;]*"


def without_attention(text: str, word: str | None) -> tuple[str, bool]:
    """The text without the attention word at its begin and end, and whether it was there."""
    if not word:
        return text, False
    spoken = r"\s+".join(re.escape(part) for part in word.split())
    rest = re.sub(rf"\A{_AROUND}{spoken}(?![\w'-]){_AROUND}", "", text, flags=re.IGNORECASE)
    rest = re.sub(rf"{_AROUND}(?<![\w'-]){spoken}{_AROUND}\Z", "", rest, flags=re.IGNORECASE)
    return rest, rest != text


def taken_words(word: str, lexicon: Lexicon) -> tuple[str, ...]:
    """The words in an attention word that already mean something, so that it cannot be used."""
    rules = {name: node for name, node in lexicon.grammar.rules.items() if name != ATTENTION}
    taken = frozenset(map(plain, words_of(Grammar(lexicon.grammar.root, rules)))) - {OWN_NAME}
    return tuple(one for one in tokens(word) if plain(one) in taken)


def attention_problems(word: str | None, lexicon: Lexicon, place: str) -> list[Problem]:
    """What is wrong with an attention word beside the words that are in use already."""
    taken = taken_words(word, lexicon) if word else ()
    if not taken:
        return []
    return [
        Problem(
            f"{place}, attention",
            f"“{taken[0]}” already means something here",
            "Choose a word that you never say to a bird or about one, such as marlow.",
        )
    ]
