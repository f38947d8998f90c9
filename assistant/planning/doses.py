"""What each bird of a round gets: a dose from the dosing core, a refusal, a question or a blank."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from assistant.dosing.dose import (
    Dose,
    DoseRequest,
    Refusal,
    Tools,
    against_bird,
    volume_for,
    with_cautions,
)
from assistant.dosing.kit import Kit
from assistant.dosing.limits import lighter_than_adults
from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import NeedleState
from assistant.dosing.quantities import rounded_text
from assistant.dosing.species import Plausibility, Species
from assistant.planning.birds import ListedBird
from assistant.planning.past import Past


@dataclass(frozen=True, slots=True)
class ToAsk:
    """A bird to ask about before a dose is said; `counted` is for the stock only."""

    said: str
    counted: Dose


@dataclass(frozen=True, slots=True)
class Unweighed:
    """A bird still to be weighed: what one of the mean weight would get, and one of the upper.

    Both are for the stock only.  A weight is in grams.
    """

    mean: Dose
    upper: Dose
    mean_g: Decimal
    upper_g: Decimal


@dataclass(frozen=True, slots=True)
class PlannedBird:
    """One bird with what the round holds for it; only a Dose has marks to fill and push to."""

    bird: ListedBird
    outcome: Dose | ToAsk | Unweighed | Refusal

    @property
    def counts(self) -> tuple[Dose, Dose] | None:
        """The doses to reckon the stock with, by mean and by upper weight; None for a refusal."""
        match self.outcome:
            case Dose() as dose:
                return dose, dose
            case ToAsk(counted=dose):
                return dose, dose
            case Unweighed(mean=mean, upper=upper):
                return mean, upper
        return None


class Dosing:
    """The doses of one round: one medicine, one needle, dry before each bird.

    A dry needle is the one that asks for most room in a syringe, so that the syringe on the sheet
    will do whatever is in the needle.  Birds of one weight get one working out of their volume.
    """

    def __init__(self, medicine: Medicine, kit: Kit, past: Past | None = None) -> None:
        self._medicine = medicine
        self._past = past
        self._needle = kit.default_needle
        self._tools = Tools(
            syringes=kit.syringes,
            current=None,
            rounding_limit_percent=kit.rounding_limit_percent,
            scale_step_g=kit.scale_step_g,
            banding=kit.banding,
        )
        self._volumes: dict[Decimal, Dose | Refusal] = {}

    def plan(self, bird: ListedBird) -> PlannedBird:
        """What this bird gets."""
        if bird.name and self._past and (early := self._past.not_due(bird, self._medicine)):
            return PlannedBird(bird, early)
        if bird.grams is None:
            return PlannedBird(bird, self._unweighed(bird.species))
        outcome = self._dose(bird.species, bird.grams)
        if isinstance(outcome, Refusal) or not (said := self._to_ask(bird, bird.grams)):
            return PlannedBird(bird, outcome)
        return PlannedBird(bird, ToAsk(said, outcome))

    def _to_ask(self, bird: ListedBird, grams: Decimal) -> str | None:
        if _is_odd(bird.species, grams):
            return _odd(bird.species, grams)
        return self._past.to_ask(bird, self._medicine) if bird.name and self._past else None

    def _unweighed(self, species: Species) -> Unweighed | Refusal:
        mean_g = species.mean_g or (species.low_g + species.high_g) / 2
        upper_g = max(species.high_g, mean_g)
        upper = self._dose(species, upper_g)
        if isinstance(upper, Refusal):
            return upper
        mean = self._dose(species, mean_g)
        return Unweighed(upper if isinstance(mean, Refusal) else mean, upper, mean_g, upper_g)

    def _dose(self, species: Species, grams: Decimal) -> Dose | Refusal:
        request = DoseRequest(species, grams, self._medicine, self._needle, NeedleState.DRY)
        refusal = against_bird(request, self._tools)
        if refusal:
            return refusal
        if grams not in self._volumes:
            self._volumes[grams] = volume_for(request, self._tools)
        dose = self._volumes[grams]
        return dose if isinstance(dose, Refusal) else with_cautions(dose, request)


def _is_odd(species: Species, grams: Decimal) -> bool:
    """Whether a conversation would ask about the weight before it says a dose."""
    return lighter_than_adults(species, grams) or species.judge(grams) is not Plausibility.USUAL


def _odd(species: Species, grams: Decimal) -> str:
    usual = f"Usually {rounded_text(species.low_g, 1)} to {rounded_text(species.high_g, 1)} grams"
    why = "Young, ill, or weighed wrong?" if grams < species.low_g else "Another bird?"
    return f"{rounded_text(grams, 1)} grams? {usual}. {why} Weigh it again and look at the bird."
