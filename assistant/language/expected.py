"""What may be said next, as a value: so that an ear can listen for an answer.

It never says what must be said: a keeper may always say something else, and an ear has to hear it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from assistant.dosing.species import Plausibility, Species
from assistant.language.requests import (
    EMERGENCIES,
    Bag,
    BatchSaid,
    CageSaid,
    DoseWanted,
    MedicineSaid,
    Named,
    NeedleSaid,
    Plain,
    Request,
    TareSaid,
    UnitSaid,
    VolumeSaid,
    Weight,
    WeightFixed,
)


class Saying(StrEnum):
    """Kinds of things that are said in answer to a question."""

    YES_NO = "yes_no"
    WEIGHT = "weight"
    """Any weight, with or without its unit, by itself."""
    FIX = "fix"
    """A weight after "no"."""
    PUT_RIGHT = "put_right"
    """A weight after "that was", and the wrong one after "not"."""
    BIRD = "bird"
    """The name of a bird, by itself."""
    UNIT = "unit"
    END = "end"
    """How a dose ended, or that it was for the wrong bird."""
    NEEDLE = "needle"
    MEDICINE = "medicine"
    TARE = "tare"
    BATCH = "batch"
    """Which batch the round draws from."""
    POT = "pot"
    """What the pot holds, by measuring."""
    CORRECTION = "correction"
    """That a weight was a correction, or that it was for the next bird."""
    CONDITION = "condition"
    """What a light bird is: young, ill, or a healthy adult."""
    CAGE = "cage"
    """Which cage is at hand, and how many birds are in it."""
    LISTEN = "listen"
    """To listen again: nothing else is heeded until then."""


CONTROLS = frozenset({"repeat", "help", "stop", "hush", "goodbye", "scratch"}) | EMERGENCIES
"""The tags of what can be said at any time, whatever was asked."""

TAGS: Mapping[Saying, frozenset[str]] = {
    Saying.YES_NO: frozenset({"yes", "no"}),
    Saying.WEIGHT: frozenset({"dose"}),
    Saying.FIX: frozenset({"no", "fix"}),
    Saying.PUT_RIGHT: frozenset({"put_right"}),
    Saying.BIRD: frozenset({"dose"}),
    Saying.UNIT: frozenset({"unit"}),
    Saying.END: frozenset(
        {"given", "part_given", "not_given", "not_known", "got_away", "wrong_bird", "other_bird"}
        | {"crop_full", "crop_sour"}
    ),
    Saying.NEEDLE: frozenset(
        {"needle_new", "needle_rinsed", "needle_full", "needle_which", "needle_switch"}
    ),
    Saying.MEDICINE: frozenset({"medicine_switch", "medicine_which"}),
    Saying.TARE: frozenset({"tare"}),
    Saying.BATCH: frozenset({"batch", "no_batch", "batch_which"}),
    Saying.POT: frozenset({"pot_holds", "volume"}),
    Saying.CORRECTION: frozenset({"correction", "next"}),
    Saying.CONDITION: frozenset({"young", "ill", "adult"}),
    Saying.CAGE: frozenset({"cage"}),
    Saying.LISTEN: frozenset({"listen"}),
}
"""The tags that the grammar gives to each kind."""


@dataclass(frozen=True, slots=True)
class Expected:
    """What is likely to be said next; without sayings it may be anything.

    `birds` are those on offer (none: any bird).  `grams` are the weights on offer, of which one is
    likelier than any other weight, but the right one need not be among them.  `species` are those
    of which one is being weighed: a weight that none of them has is less likely.
    """

    sayings: frozenset[Saying] = frozenset()
    birds: tuple[Named, ...] = ()
    grams: tuple[Decimal, ...] = ()
    species: tuple[Species, ...] = ()

    def __contains__(self, saying: Saying) -> bool:
        """Whether this kind of thing may be said, and not just anything."""
        return saying in self.sayings

    @property
    def tags(self) -> frozenset[str]:
        """The tags of the requests that may be said; none where it may be anything."""
        if not self.sayings:
            return frozenset()
        if Saying.LISTEN in self.sayings:
            return TAGS[Saying.LISTEN]
        return CONTROLS.union(*(TAGS[saying] for saying in self.sayings))

    @property
    def worded(self) -> Expected:
        """What decides the words that may be said: which weights are likely does not."""
        return Expected(self.sayings, self.birds)


ANYTHING = Expected()
"""No question is open: a bird with its weight, a command, or talk that is not for us."""


class Fit(StrEnum):
    """How well a request fits what was expected."""

    OFFERED = "offered"
    """An answer; where weights were on offer, one of these."""
    ANSWER = "answer"
    """A weight, but none of those on offer, or an odd one for the bird."""
    ABSURD = "absurd"
    """A weight that the bird cannot have."""
    OTHER = "other"
    """No answer: something new."""


_SAYING_OF: Mapping[type, Saying] = {
    UnitSaid: Saying.UNIT,
    TareSaid: Saying.TARE,
    MedicineSaid: Saying.MEDICINE,
    NeedleSaid: Saying.NEEDLE,
    BatchSaid: Saying.BATCH,
    VolumeSaid: Saying.POT,
    CageSaid: Saying.CAGE,
}


def fit(request: Request, expected: Expected) -> Fit:
    """How well a request fits; anything fits where anything was expected."""
    if not expected.sayings:
        return Fit.OFFERED
    match request:
        case DoseWanted():
            return _fit_of_dose(request, expected)
        case WeightFixed(weight):
            return _fit_of_weight(weight, expected, Saying.FIX)
        case Plain(kind):
            fits = kind in expected.tags
        case _:
            fits = _SAYING_OF[type(request)] in expected
    return Fit.OFFERED if fits else Fit.OTHER


def _fit_of_dose(wanted: DoseWanted, expected: Expected) -> Fit:
    if wanted.another or wanted.medicine or wanted.unusual or wanted.conditions or wanted.pair:
        return Fit.OTHER
    if not wanted.named and len(wanted.weights) == 1:
        return _fit_of_weight(wanted.weights[0], expected, Saying.WEIGHT)
    if wanted.weights or Saying.BIRD not in expected:
        return Fit.OTHER
    on_offer = not expected.birds or len(set(wanted.named) & set(expected.birds)) == 1
    return Fit.OFFERED if on_offer else Fit.OTHER


def _fit_of_weight(weight: Weight, expected: Expected, saying: Saying) -> Fit:
    if saying not in expected:
        return Fit.OTHER
    if weight.grams is None:
        return Fit.ANSWER if expected.grams else Fit.OFFERED
    if weight.grams in expected.grams:
        return Fit.OFFERED
    likely = _likelihood(weight.grams, weight.bag, expected.species)
    return Fit.ANSWER if likely is Fit.OFFERED and expected.grams else likely


def _likelihood(grams: Decimal, bag: Bag, species: tuple[Species, ...]) -> Fit:
    """How well a weight fits the birds that it may be of; with a bag around them, nobody knows."""
    if not species or bag is Bag.WITH:
        return Fit.OFFERED
    judged = {one.judge(grams) for one in species}
    if Plausibility.USUAL in judged:
        return Fit.OFFERED
    return Fit.ANSWER if Plausibility.ASK in judged else Fit.ABSURD
