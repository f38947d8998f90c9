"""The invented round that the tests of planning share: a keeper's kit and some birds."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dosing.kit import Kit
from assistant.dosing.measures import Liquid, NeedleChange, Pot, Pump
from assistant.dosing.needle import Needle
from assistant.dosing.species import Species
from assistant.dosing.syringe import Syringe
from assistant.planning.birds import ListedBird
from assistant.planning.round_plan import Plan, Wishes, plan_round
from tests.dosing_scene import FINE, MIDDLE, medicine, species

HOLDS = Decimal("0.2")
KIT = Kit(
    keeper="Demo Keeper",
    syringes=(
        FINE,
        MIDDLE,
        Syringe(Decimal(5), Decimal("0.2")),
        Syringe(Decimal(10), Decimal("0.5")),
    ),
    needles=(Needle(14, Decimal(75), measured_ml=HOLDS),),
    default_needle=Needle(14, Decimal(75), measured_ml=HOLDS),
    scale_step_g=Decimal(1),
    pots=(Pot(Decimal(100), Decimal(10)), Pot(Decimal(500), Decimal(50))),
)
PUMPED = replace(
    KIT,
    pots=(Pot(Decimal(2000)),),
    pumps=(Pump(Decimal(2), Liquid.PRODUCT), Pump(Decimal(15), Liquid.WATER)),
)
WISHES = Wishes(NeedleChange.ROUND, Decimal(10))

SMALL = replace(species(low="25", high="35"), name="Small bird", mean_g=Decimal(29))
LARGE = replace(species(low="80", high="125"), name="Large bird", mean_g=Decimal("94.6"))


def bird(grams: str | None, kind: Species = LARGE, **more: str) -> ListedBird:
    """A bird of this weight, or one not weighed."""
    return ListedBird(kind, None if grams is None else Decimal(grams), **more)


def plan(*birds: ListedBird, kit: Kit = KIT, wishes: Wishes = WISHES, **figures: object) -> Plan:
    """The plan for these birds with the invented medicine, some of its figures changed."""
    return plan_round(birds, medicine(**figures), kit, wishes)
