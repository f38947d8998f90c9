"""The twenty phrases of an enrolment, and what hearing them showed.  Pure.

The phrases are the keeper's own names first.  Their numbers hold every teen and its tens (thirteen
and thirty to nineteen and ninety), and every figure said by itself; each is a usual weight for its
bird, so that nothing but the hearing is in question.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import chain

from assistant.dosing.names import spoken_form
from assistant.dosing.species import Aviary, Crop, Species
from assistant.hearing.choosing import Fate
from assistant.language.numerals import digit_words, words
from assistant.language.requests import DoseWanted, Named

COUNT = 20
"""How many phrases are read: five minutes at an easy pace."""

_TEENS_AND_TENS = tuple(end for teen in range(13, 20) for end in (teen, 10 * (teen - 10)))
_FIGURES = (2, 37, 46, 58, 69, 21)
"""Numbers that end so, said figure by figure, hold every figure from 0 to 9."""

_NAMES = 9
"""Different names in the phrases: few enough that most come up twice."""

_WELL_INSIDE = (Decimal(1), Decimal("1.3"))
"""Parts of the low and high end between which no weight is asked about (what lies under the low end
is, and from 1.5 times the high end)."""

_LEAST_G = 10


@dataclass(frozen=True, slots=True)
class ToRead:
    """One phrase: the name, the weight in whole grams, and whether to say it figure by figure."""

    name: str
    grams: int
    figures: bool = False

    @property
    def number(self) -> str:
        """The number as it is read."""
        return digit_words(str(self.grams)) if self.figures else words(Decimal(self.grams))

    @property
    def text(self) -> str:
        """The phrase as it is read."""
        return f"{self.name} {self.number} grams"


def phrases(aviary: Aviary) -> tuple[ToRead, ...]:
    """The phrases for a keeper's aviary, the same ones each time."""
    everything = list(_names(aviary))
    wanted = everything[:_NAMES]
    found: list[ToRead] = []
    for count, end in enumerate((*_TEENS_AND_TENS, *_FIGURES)):
        used = Counter(one.name for one in found)
        wanted.sort(key=lambda one: used[one[0]])
        for name, species in chain(wanted, everything[_NAMES:]):
            grams = _weight(species, end)
            if grams is not None:
                found.append(ToRead(name, grams, figures=count >= len(_TEENS_AND_TENS)))
                break
    return tuple(found)


def own_names(aviary: Aviary) -> Iterator[tuple[str, Species]]:
    """The names that the keeper added, each with its species: birds, aliases, species."""
    for bird in aviary.birds:
        yield from ((name, aviary.species(bird.species)) for name in bird.names)
    for alias, species in aviary.aliases:
        yield spoken_form(alias), aviary.species(species)
    for own in aviary.species_list:
        if own.range_basis == "keeper":
            yield from ((name, own) for name in own.names)


def _names(aviary: Aviary) -> Iterator[tuple[str, Species]]:
    """Names that mean one bird or species and can be read: the keeper's own, then the table's."""
    table = [(one.names[0], one) for one in aviary.species_list if one.crop is Crop.TRUE]
    # the table is in groups: in steps through it, the names differ more
    spread = [table[place] for start in range(7) for place in range(start, len(table), 7)]
    seen = set()
    for name, species in chain(own_names(aviary), spread):
        said = name.lower()
        letters = said.replace(" ", "").replace("'", "")
        if letters.isalpha() and said not in seen and len(aviary.named(said)) == 1:
            seen.add(said)
            yield said, species


def _weight(species: Species, end: int) -> int | None:
    """The weight in grams with this end that lies nearest to the middle of the usual ones."""
    low = max(int(species.low_g * _WELL_INSIDE[0]) + 1, _LEAST_G)
    high = int(species.high_g * _WELL_INSIDE[1])
    middle = (species.low_g + species.high_g) / 2
    fitting = [grams for grams in range(low, high + 1) if grams % 100 == end]
    return min(fitting, key=lambda grams: abs(grams - middle), default=None)


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one phrase, and the request that was heard, where it was a dose."""

    phrase: ToRead
    fate: Fate
    heard: str
    request: DoseWanted | None = None

    @property
    def is_right_number(self) -> bool:
        """Whether the weight that was read is the one that was heard."""
        weights = self.request.weights if self.request else ()
        return [one.grams for one in weights] == [self.phrase.grams]


@dataclass(frozen=True, slots=True)
class Trouble:
    """What to say in another way: names and numbers that were heard as others."""

    names: tuple[str, ...]
    numbers: tuple[ToRead, ...]


def trouble(answers: Sequence[Answer], aviary: Aviary) -> Trouble:
    """The names and the numbers that were not heard as they were read.

    What was heard rightly, but asked about, is not among them.
    """
    names, numbers = [], []
    for one in answers:
        if one.fate is Fate.RIGHT:
            continue
        named: tuple[Named, ...] = one.request.named if one.request else ()
        if named != aviary.named(one.phrase.name):
            names.append(one.phrase.name)
        elif not one.is_right_number and not one.phrase.figures:
            numbers.append(one.phrase)
    return Trouble(tuple(dict.fromkeys(names)), tuple(numbers))
