"""The plan of a round: every dose, what to make up, and what to lay out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Context, Decimal, Inexact, localcontext
from fractions import Fraction

from assistant.dosing.dose import Dose, Refusal
from assistant.dosing.kit import Kit
from assistant.dosing.measures import NeedleChange
from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import Needle
from assistant.dosing.syringe import Syringe
from assistant.planning.birds import ListedBird, in_order
from assistant.planning.doses import Dosing, PlannedBird, ToAsk, Unweighed
from assistant.planning.measuring import Mix, Wanted, measure, most_in_one
from assistant.planning.past import Past

MOST_BATCHES = 500
"""Where a round takes more pots than this, the pot is too small to be meant for it."""

_EXACT = Context(prec=60, traps=[Inexact])


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the keeper chose for this round.

    `days` is over how many days it is done, `spare_percent` what is made up on top.
    """

    change: NeedleChange
    spare_percent: Decimal
    days: int = 1


@dataclass(frozen=True, slots=True)
class Need:
    """What a round takes of the working dilution, in mL; all of it exact.

    `mean_ml` and `upper_ml` are the doses, with the birds not weighed at their mean and at their
    upper weight; they are alike where every bird was weighed.  `kept_ml` stays in the needles over
    `primings` of them.  `unreached_ml` may stay in the pots because no whole dose can be drawn from
    it any more, and `spare_ml` is to spare.
    """

    mean_ml: Decimal
    upper_ml: Decimal
    primings: int
    kept_ml: Decimal
    unreached_ml: Decimal
    spare_ml: Fraction

    @property
    def total_ml(self) -> Fraction:
        """All of it together, by the upper weights."""
        return Fraction(self.upper_ml + self.kept_ml + self.unreached_ml) + self.spare_ml


@dataclass(frozen=True, slots=True)
class Making:
    """How the stock is made up: the same mix so many times."""

    batches: int
    mix: Mix
    strength_off_percent: Fraction

    @property
    def total_ml(self) -> Decimal:
        """What all pots hold together, in mL."""
        return self.mix.total_ml * self.batches

    @property
    def product_ml(self) -> Decimal:
        """The product that all pots take, in mL."""
        return self.mix.product_ml * self.batches


@dataclass(frozen=True, slots=True)
class Plan:
    """A round before it begins; `making` is None where nothing can be measured, or is needed."""

    medicine: Medicine
    needle: Needle
    wishes: Wishes
    birds: tuple[PlannedBird, ...]
    need: Need
    making: Making | None
    syringes: Mapping[Syringe, int]
    needles: int

    @property
    def dosed(self) -> tuple[PlannedBird, ...]:
        """The birds with marks."""
        return tuple(one for one in self.birds if isinstance(one.outcome, Dose))

    @property
    def unweighed(self) -> tuple[PlannedBird, ...]:
        """The birds still to be weighed."""
        return tuple(one for one in self.birds if isinstance(one.outcome, Unweighed))

    @property
    def questions(self) -> tuple[PlannedBird, ...]:
        """The birds that are asked about."""
        return tuple(one for one in self.birds if isinstance(one.outcome, ToAsk))

    @property
    def refused(self) -> tuple[PlannedBird, ...]:
        """The birds that get no dose."""
        return tuple(one for one in self.birds if isinstance(one.outcome, Refusal))


def plan_round(
    birds: Iterable[ListedBird],
    medicine: Medicine,
    kit: Kit,
    wishes: Wishes,
    past: Past | None = None,
) -> Plan:
    """The plan for these birds, in whatever order they come, and whatever they had before."""
    dosing = Dosing(medicine, kit, past)
    planned = tuple(dosing.plan(bird) for bird in in_order(tuple(birds)))
    counted = [counts for one in planned if (counts := one.counts)]
    cages = len({one.bird.cage for one in planned if one.counts})
    need, making = _Reckoning(counted, cages, medicine, kit, wishes).made()
    syringes = Counter(upper.syringe for _, upper in counted)
    return Plan(
        medicine=medicine,
        needle=kit.default_needle,
        wishes=wishes,
        birds=planned,
        need=need,
        making=making,
        syringes=dict(sorted(syringes.items(), key=lambda one: one[0].capacity_ml)),
        needles=need.primings,
    )


@dataclass(frozen=True, slots=True)
class _Reckoning:
    """The doses that the stock is reckoned with, by mean and upper weight, given in so many cages.

    More birds never need less, and never fewer pots.
    """

    doses: Sequence[tuple[Dose, Dose]]
    cages: int
    medicine: Medicine
    kit: Kit
    wishes: Wishes

    def made(self) -> tuple[Need, Making | None]:
        """What is needed and how it is made up, in the fewest pots that hold it and keep."""
        fewest = need = self._need(batches := self._batches_by_days())
        most = most_in_one(self.kit, self.medicine.dilution)
        while self.doses and most and batches <= MOST_BATCHES:
            need = self._need(batches)
            share = need.total_ml / batches
            dilution, is_most = self.medicine.dilution, self.medicine.label.is_maximum
            mix = measure(Wanted(share, most, dilution, is_most), self.kit)
            if mix:
                return need, Making(batches, mix, mix.percent_off(dilution))
            batches = max(batches + 1, -(-need.total_ml // most))
        return fewest, None

    def _batches_by_days(self) -> int:
        """How many pots it takes because one does not keep longer: a day, where nothing is said."""
        keeps = self.medicine.shelf_life_days
        return -(-Fraction(self.wishes.days) // Fraction(keeps or 1))

    def _primings(self, batches: int) -> int:
        """How often a dry needle is filled; a new pot may come in the middle of a cage."""
        match self.wishes.change:
            case NeedleChange.ROUND:
                return batches
            case NeedleChange.CAGE:
                return self.cages + batches - 1
            case NeedleChange.BIRD:
                return len(self.doses)

    def _need(self, batches: int) -> Need:
        """What the round takes when it is made up so many times."""
        primings = self._primings(batches) if self.doses else 0
        dead_ml = self.kit.default_needle.dead_ml
        with localcontext(_EXACT):
            mean = sum((mean.volume_ml for mean, _ in self.doses), Decimal(0))
            upper = sum((upper.volume_ml for _, upper in self.doses), Decimal(0))
            kept = primings * dead_ml
            largest = max((upper.draw_to_ml for _, upper in self.doses), default=Decimal(0))
            unreached = (batches - 1) * largest
        spare = Fraction(upper + kept) * Fraction(self.wishes.spare_percent) / 100
        return Need(mean, upper, primings, kept, unreached, spare)
