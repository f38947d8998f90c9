"""How much a bird is said to have had: more than its dose is an emergency, and never its end."""

from __future__ import annotations

from decimal import Decimal

from assistant.conversation.emergency import emergency
from assistant.conversation.ending import ask_about_open_dose
from assistant.conversation.moment import Moment, Step
from assistant.conversation.state import State

OF_THE_DOSE = Decimal("1.1")
"""More of the dose than this is too much: as far as rounding to a syringe may lead.  Common
practice, no source."""


def told_volume(state: State, moment: Moment, ml: Decimal) -> Step:
    """So many mL were given, of the open dose or the last one: too much, or its end is asked about.

    A number that the round's largest syringe does not hold is no volume.
    """
    entry = state.pending or state.last
    holds = max(syringe.capacity_ml for syringe in moment.setting.kit.syringes)
    if entry is not None and entry.volume_ml * OF_THE_DOSE < ml <= holds:
        return emergency(state, moment, "too_much")
    return ask_about_open_dose(state, moment)
