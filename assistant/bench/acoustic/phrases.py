"""What is said in the bench: dose requests, weights alone, and commands, for one part."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property

import numpy as np

from assistant.bench.acoustic.chance import generator, pick, shuffled, side
from assistant.bench.acoustic.desk import BenchDesk
from assistant.bench.acoustic.parts import Declared
from assistant.bench.acoustic.records import Kind, Part, Phrase, Truth
from assistant.bench.acoustic.wordings import weight_words
from assistant.conversation.turn import Status, Turn
from assistant.dosing.species import Species
from assistant.language.requests import Intent
from assistant.language.shaping import for_ears, sample

SHARED_OFTEN = 0.5
"""How often the shared wording, or a shared way of saying the number, is taken."""

USUAL = (Decimal("0.75"), Decimal("1.4"))
"""Weights from well inside the band in which nothing is asked: parts of its low and high end."""

REQUEST = "request"
"""The rule of the grammar that holds what can be asked, without the small words around it."""

MOST_WORDINGS = 12
"""Wordings of one meaning in the bench; of tares there are as many as there are weights."""

TARE_WORDS = ("bag is", "the bag is", "bag weighs", "tare")
"""How a keeper begins to say what the bag weighs."""

_BAG_G = (4, 60)
_TARES = 12
_NOT_SAMPLED = frozenset({"dose", "weight"})
_TRIES = 400
_SAMPLES = 12_000


@dataclass(frozen=True)
class Speech:
    """Phrases of one part.  Names and weights of the other part never come up in a dose."""

    desk: BenchDesk
    declared: Declared

    def _is_mine(self, name: str) -> bool:
        return side(name) == (0 if self.declared.part is Part.DEVELOPMENT else 1)

    @cached_property
    def names(self) -> Mapping[str, Species]:
        """Every spoken name of this part that means one species or bird, with its species.

        A name with a figure in it is only typed.
        """
        aviary = self.desk.lexicon.aviary
        found: dict[str, Species] = {}
        for name in sorted(aviary.spoken_names):
            meant = aviary.named(name)
            sayable = name.replace(" ", "").replace("'", "").isalpha()
            if sayable and len(meant) == 1 and self._is_mine(f"name {name.lower()}"):
                one = meant[0]
                known = one if isinstance(one, Species) else aviary.species(one.species)
                found[name.lower()] = known
        return found

    def doses(self, kind: Kind = Kind.DOSE) -> Iterator[Phrase]:
        """Dose requests without end; each is answered at once when it is typed."""
        chance = generator(f"phrases {self.declared.part} {kind}")
        names = tuple(self.names)
        while True:
            name = pick(chance, names)
            weighed = self._weighed(chance, self.names[name])
            if weighed is None:
                continue
            words, style = weighed
            text = self._wording(chance, kind).format(bird=name, weight=words)
            truth = truth_of(self.desk.typed(text))
            if truth is not None:
                yield Phrase(kind, text, truth, bird=name, weight=words, style=style, intent="dose")

    def weights_alone(self) -> Iterator[Phrase]:
        """Weights without a bird, which must never be answered with a dose."""
        for phrase in self.doses():
            yield replace(phrase, kind=Kind.WEIGHT_ONLY, text=phrase.weight, truth=None, bird="")

    def _wording(self, chance: np.random.Generator, kind: Kind) -> str:
        if kind is Kind.OTHERWISE:
            return pick(chance, self.declared.otherwise)
        shared, *own = self.declared.doses
        return shared if chance.uniform() < SHARED_OFTEN else pick(chance, own)

    def _weighed(self, chance: np.random.Generator, species: Species) -> tuple[str, str] | None:
        """A usual weight of the species in words, and how it is said."""
        low, high = int(species.low_g * USUAL[0]) + 1, int(species.high_g * USUAL[1])
        for _ in range(_TRIES):
            grams = int(chance.integers(low, high + 1))
            shared = chance.uniform() < SHARED_OFTEN
            styles = self.declared.shared_styles if shared else self.declared.styles
            style = pick(chance, styles)
            words = weight_words(grams, style) if self._is_mine(f"grams {grams}") else None
            if words:
                return words, style
        return None

    def controls(self) -> tuple[Phrase, ...]:
        """Every command that an ear may hear, in each of its wordings, taken from the grammar."""
        chance = generator(f"controls {self.declared.part}")
        spoken = replace(for_ears(self.desk.lexicon.grammar), root=REQUEST)
        found: dict[str, Phrase] = {}
        for _ in range(_SAMPLES):
            words, marks = sample(spoken, lambda below: int(chance.integers(below)))
            text = " ".join(words)
            # tares are made below: out of the grammar they come with weights that nobody says
            if text not in found and all(mark.tag not in _NOT_SAMPLED for mark in marks):
                found[text] = self._control(text)
        found |= {text: self._control(text) for text in self._tares(chance)}
        kept = _evened([phrase for phrase in found.values() if phrase.style])
        return tuple(shuffled(chance, [self._dressed(chance, phrase) for phrase in kept]))

    def _tares(self, chance: np.random.Generator) -> Iterator[str]:
        """What a bag weighs, in the wordings and numbers of this part."""
        for _ in range(_TARES):
            words = None
            while not words:
                grams = int(chance.integers(*_BAG_G))
                words = weight_words(grams, pick(chance, self.declared.shared_styles))
            yield f"{pick(chance, TARE_WORDS)} {words}"

    def _control(self, text: str) -> Phrase:
        """The phrase with its intent and, as its style, what it means; none for no command."""
        turn, meaning = self.desk.typed(text), self.desk.meaning(text)
        if turn.status is not Status.COMMAND or turn.intent is Intent.DOSE:
            return Phrase(Kind.CONTROL, text)
        intent = turn.intent.value if turn.intent else None
        return Phrase(Kind.CONTROL, text, style=meaning, intent=intent)

    def _dressed(self, chance: np.random.Generator, phrase: Phrase) -> Phrase:
        """Now and then with a small word before or after it."""
        place = int(chance.integers(12))
        texts = (f"um {phrase.text}", f"okay {phrase.text}", f"{phrase.text} please")
        if place < len(texts) and self.desk.meaning(texts[place]) == phrase.style:
            return replace(phrase, text=texts[place])
        return phrase


def _evened(phrases: list[Phrase]) -> list[Phrase]:
    """At most so many wordings of each meaning, so that tares do not crowd out the rest."""
    seen: dict[str, int] = {}
    kept = []
    for phrase in phrases:
        about = phrase.style.partition(" ")[0]
        seen[about] = seen.get(about, 0) + 1
        if seen[about] <= MOST_WORDINGS:
            kept.append(phrase)
    return kept


def truth_of(turn: Turn) -> Truth | None:
    """What an answered turn answered; None where no dose was said."""
    facts = turn.facts
    if turn.status is not Status.ANSWERED or facts.dose is None:
        return None
    if facts.species is None or facts.grams is None:
        return None
    return Truth(facts.species, facts.grams, facts.dose.volume_ml)
