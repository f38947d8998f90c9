"""Which volumes are spoken in a recording, by an ear that could have heard any other.

The grammar is that of the reply's own words, but in every place of a volume it has all from 0.00 to
9.99 mL, so that the words help to find the places and nothing helps to guess the figures.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cached_property

from assistant.adapters.ears.moonshine_model import SpeechModel
from assistant.adapters.ears.neural_sound import levelled
from assistant.adapters.ears.phone_head import packaged_head
from assistant.adapters.ears.phone_search import PhoneSearch, Reach
from assistant.adapters.ears.pronunciations import (
    WordSounds,
    dictionary_pronunciations,
    parse_pronunciations,
)
from assistant.adapters.ears.word_graph import word_graph
from assistant.adapters.home.grammar_file import PRONUNCIATIONS, grammar_text
from assistant.audio import Clip
from assistant.conversation.speech import speakable
from assistant.language.jsgf import read_grammar
from assistant.language.shaping import words_of
from assistant.language.tree import Grammar

_DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_REACH = Reach(behind=40.0, paths=600)
_VOLUME = re.compile(r"[0-9]+(?:\.[0-9]+)? mL")
_PLACE = "anyvolume"
_SAID = re.compile(r"([0-9](?:\.[0-9]{1,2})?)millilitre")
_RULES = f"""#JSGF V1.0; grammar answer;
public <answer> = {{words}};
<volume> = <digit> [ point <digit> [ <digit> ] ] ( millilitre | millilitres );
<digit> = {" | ".join(_DIGITS)};
"""


class VolumeEar:
    """The network for phones, held to one reply after the other."""

    @cached_property
    def _model(self) -> SpeechModel:
        return SpeechModel()

    def hear(self, clip: Clip, reply: str) -> tuple[Decimal, ...]:
        """The volumes in the sound of a reply at 16 kHz, in their order; () for other words."""
        samples = levelled(clip.pcm)
        if samples is None:
            return ()
        head, grammar = packaged_head(), _grammar(reply)
        spellings = {
            word: [[head.columns[phone] for phone in one.split()] for one in spoken]
            for word, spoken in _sounds(grammar).items()
        }
        table = head.table(self._model.encode(samples).states[0])
        texts = PhoneSearch(word_graph(grammar), spellings, _REACH).search(table)
        return _volumes(texts[0].words) if texts else ()


def written_volumes(reply: str) -> tuple[Decimal, ...]:
    """The volumes in the words of a reply, in their order."""
    return tuple(Decimal(found.removesuffix(" mL")) for found in _VOLUME.findall(reply))


def _grammar(reply: str) -> Grammar:
    spoken = speakable(_VOLUME.sub(_PLACE, reply)).lower()
    words = re.sub(r"[^a-z' ]", " ", spoken).replace(_PLACE, "<volume>")
    return read_grammar(_RULES.format(words=words), {})


def _sounds(grammar: Grammar) -> dict[str, tuple[str, ...]]:
    words = words_of(grammar)
    by_hand = parse_pronunciations(grammar_text(PRONUNCIATIONS), PRONUNCIATIONS)
    together = WordSounds(by_hand, dictionary_pronunciations(words)).together
    return {word: tuple(together[word]) for word in words}


def _volumes(words: tuple[str, ...]) -> tuple[Decimal, ...]:
    said = " ".join(words)
    for digit, word in enumerate(_DIGITS):
        said = said.replace(f"{word} ", f"{digit}")
    found = _SAID.findall(said.replace("point ", "."))
    return tuple(map(Decimal, found))
