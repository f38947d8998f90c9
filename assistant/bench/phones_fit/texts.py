"""What is said to fit on: text of the development part alone.

Names, weights and wordings of dose requests are those of the bench's development part; weights
alone are in whole grams of its half; words in a row are of its half of the dictionary.  Sentences
are those of licences.  Commands are a closed list that both parts share.  A text in which, by
chance, a bird's name of the test part comes up is not taken.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from itertools import islice

import numpy as np

from assistant.bench.acoustic.chance import pick, side
from assistant.bench.acoustic.chatter import dictionary_words, sentences
from assistant.bench.acoustic.desk import BenchDesk
from assistant.bench.acoustic.parts import declared
from assistant.bench.acoustic.phrases import Speech
from assistant.bench.acoustic.records import Kind, Part
from assistant.bench.acoustic.wordings import whole_number
from assistant.bench.phones_fit.recipe import Recipe
from assistant.bench.phones_fit.spelling import columns_of, words_of
from assistant.errors import DataProblem

_OFTEN_BELOW, _SELDOM_BELOW = 1300, 60
_MOST_WORDS = 5
_WHOLE_OFTEN, _BELOW_OFTEN = 0.6, 0.8

REQUESTS_A_SHARD = 300
"""How far apart the shards begin in the bench's endless row of dose requests."""

_MEASURED_ON = 3000
"""The head of that row is what the development part is measured on: not fitted on."""


class Texts:
    """Texts without end for one shard; raises DataProblem without the licences of the machine."""

    def __init__(self, desk: BenchDesk, recipe: Recipe, shard: int) -> None:
        speech = Speech(desk, declared(Part.DEVELOPMENT))
        self._shares = recipe.texts
        self._names = tuple(speech.names)
        self._is_of_test = birds_of_test(desk)
        self._commands = [phrase.text for phrase in speech.controls()]
        self.sentences = sentences("law")
        if not self.sentences:
            raise DataProblem("There are no licences in /usr/share/common-licenses.", "Use Debian.")
        self._words = dictionary_words(Part.DEVELOPMENT)
        first = _MEASURED_ON + shard * REQUESTS_A_SHARD
        doses, otherwise = (
            islice(speech.doses(kind), first // part, None)
            for kind, part in ((Kind.DOSE, 1), (Kind.OTHERWISE, 5))
        )
        self._makers: Mapping[str, Callable[[np.random.Generator], str]] = {
            "dose": lambda _: next(doses).text,
            "otherwise": lambda _: next(otherwise).text,
            "named_weight": self._named_weight,
            "weight": lambda chance: f"{number(chance)} {pick(chance, ('grams', '', ''))}",
            "control": lambda chance: pick(chance, self._commands),
            "sentence": lambda chance: pick(chance, self.sentences),
            "words": self._some_words,
        }

    def draw(self, chance: np.random.Generator) -> str:
        """A text whose words have phones, with no bird of the test part in it."""
        kinds = list(self._shares)
        while True:
            kind = kinds[int(chance.choice(len(kinds), p=list(self._shares.values())))]
            text = " ".join(words_of(self._makers[kind](chance)))
            if columns_of(text) is not None and not self._is_of_test(text):
                return text

    def _named_weight(self, chance: np.random.Generator) -> str:
        unit = pick(chance, ("grams", "", "gram"))
        return f"{pick(chance, self._names)} {number(chance)} {unit}"

    def _some_words(self, chance: np.random.Generator) -> str:
        count = int(chance.integers(1, _MOST_WORDS + 1))
        return " ".join(pick(chance, self._words) for _ in range(count))


def birds_of_test(desk: BenchDesk) -> Callable[[str], bool]:
    """Whether a text names a bird of the test part; of names within names the longest counts."""
    own, others = (frozenset(Speech(desk, declared(part)).names) for part in Part)
    either = "|".join(map(re.escape, sorted(own | others, key=len, reverse=True)))
    names = re.compile(rf"(?<![a-z'])(?:{either})(?![a-z'])")
    return lambda text: not others.isdisjoint(names.findall(text))


def number(chance: np.random.Generator) -> str:
    """A whole number of grams of the development part in words, whole or figure by figure."""
    below = _OFTEN_BELOW if chance.uniform() < _BELOW_OFTEN else _SELDOM_BELOW
    grams = int(chance.integers(1, below))
    while side(f"grams {grams}") != 0:
        grams = int(chance.integers(1, below))
    if chance.uniform() < _WHOLE_OFTEN:
        return whole_number(grams)
    return " ".join(
        whole_number(int(figure)) if figure != "0" else pick(chance, ("oh", "zero"))
        for figure in str(grams)
    )
