"""What somebody who looks over from three metres away must see of the round."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from assistant.conversation.entries import DoseEnd
from assistant.conversation.sentences import grams_text
from assistant.conversation.state import State
from assistant.dosing.needle import NeedleState, draw_to


@dataclass(frozen=True, slots=True)
class OpenDose:
    """The dose that waits for its end, with the bird that it is for.

    `draw_to_ml` is the mark to draw to with what is in the needle now; None where that is not known
    or the syringe does not reach it, so that the dose cannot be drawn as it stands.
    """

    who: str
    weight: str
    volume_ml: Decimal
    draw_to_ml: Decimal | None
    syringe_ml: Decimal
    needle: str
    fictional: bool


@dataclass(frozen=True, slots=True)
class Glance:
    """The round as it stands; `asks` is whether it waits for an answer, `awake` whether it heeds.

    `done` counts the birds, such as "12 given, 1 not given".
    """

    medicine: str
    done: str
    open: OpenDose | None = None
    asks: bool = False
    awake: bool = True


def glance(state: State) -> Glance:
    """What is to be seen of a state."""
    return Glance(
        medicine=_medicine(state),
        done=_done(state),
        open=_open(state),
        asks=state.question is not None,
        awake=state.listening,
    )


def _medicine(state: State) -> str:
    one = state.medicine
    if one is None:
        return "No medicine"
    return f"{one.name}, {one.dilution.short}"


def _done(state: State) -> str:
    given = f"{state.ended.get(DoseEnd.GIVEN, 0)} given"
    others = [
        f"{count} {end.value.replace('_', ' ')}"
        for end, count in state.ended.items()
        if count and end is not DoseEnd.GIVEN
    ]
    return ", ".join([given, *others])


_NEEDLES = {
    NeedleState.DRY: "dry needle",
    NeedleState.FULL: "needle full",
    NeedleState.RINSED: "rinsed needle",
    NeedleState.UNKNOWN: "needle not flushed",
}


def _open(state: State) -> OpenDose | None:
    entry, syringe = state.open_dose, state.syringe
    if entry is None or syringe is None:
        return None
    return OpenDose(
        who=f"{entry.bird}, {entry.species}" if entry.bird else entry.species,
        weight=grams_text(entry.grams),
        volume_ml=entry.volume_ml,
        draw_to_ml=_reachable(state, entry.volume_ml, syringe.capacity_ml),
        syringe_ml=syringe.capacity_ml,
        needle=_NEEDLES[state.needle_state],
        fictional=entry.fictional,
    )


def _reachable(state: State, volume_ml: Decimal, capacity_ml: Decimal) -> Decimal | None:
    if state.needle_state is NeedleState.UNKNOWN or state.syringe is None:
        return None
    mark = draw_to(volume_ml, state.needle, state.needle_state, state.syringe)
    return mark if mark <= capacity_ml else None
