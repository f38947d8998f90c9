"""A plan as rows for other programs, one for each bird."""

from __future__ import annotations

from typing import Final

from assistant.adapters.paper.export import Cell, Sheet
from assistant.dosing.dose import Dose, Refusal
from assistant.dosing.quantities import to_decimal
from assistant.planning.doses import PlannedBird, ToAsk
from assistant.planning.round_plan import Plan

_BIRD: Final = ("cage", "name", "ring", "species", "sex", "grams")
_DOSE: Final = ("volume_ml", "fill_to_ml", "syringe", "exact_ml")


def sheet_of_plan(plan: Plan) -> Sheet:
    """Each bird with its dose and marks, or with why it has none: `state` and `why`.

    `state` is "dose", "weigh", "look again" or "no dose"; `volume_ml` is where to push to.
    """
    return Sheet(
        columns=(*_BIRD, *_DOSE, "state", "why", "medicine", "dilution", "fictional"),
        rows=tuple((*_row(one), *_medicine(plan)) for one in plan.birds),
        brief=("cage", "name", "ring", "species", "grams", "volume_ml", "fill_to_ml", "state"),
        amounts=frozenset({"volume_ml", "fill_to_ml", "exact_ml"}),
    )


def _medicine(plan: Plan) -> tuple[Cell, ...]:
    return plan.medicine.name, plan.medicine.dilution.said, plan.medicine.fictional


def _row(planned: PlannedBird) -> tuple[Cell, ...]:
    bird = planned.bird
    about = bird.cage, bird.name, bird.ring, bird.species.name, bird.sex, bird.grams
    nothing = None, None, None, None
    match planned.outcome:
        case Dose() as dose:
            exact = to_decimal(dose.exact_ml)
            return (*about, dose.volume_ml, dose.draw_to_ml, dose.syringe.name, exact, "dose", "")
        case Refusal(said=said):
            return (*about, *nothing, "no dose", said)
        case ToAsk(said=said):
            return (*about, *nothing, "look again", said)
    return (*about, *nothing, "weigh", "")
