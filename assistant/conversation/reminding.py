"""Reminders at the right moment, after all else that a reply says: once, or as often as set."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from enum import Enum, auto

from assistant.conversation.entries import DoseEnd, DoseEndEntry
from assistant.conversation.moment import Moment, Step
from assistant.conversation.state import State
from assistant.conversation.turn import Reply, Status, Turn
from assistant.dosing.reminders import Often, Reminder

TEXTS: Mapping[Reminder, str] = {
    Reminder.CROPS: "Crops empty? If one is not, say full crop.",
    Reminder.POT: (
        "No used needle into the pot: fill the bare syringe, or draw from a small cup that is "
        "never poured back."
    ),
    Reminder.TIP: "Feel the tip in the crop before you press. Never push against resistance.",
    Reminder.WIPE: "Wipe the needle after every bird.",
    Reminder.CHANGE: "Change or disinfect the needle.",
}
"""What is said; common practice, no source.  The word to shake is said within the answer."""


class _Occasion(Enum):
    BEGUN = auto()
    CAGE = auto()
    ANSWERED = auto()
    GIVEN = auto()


_FIRST: Mapping[Reminder, frozenset[_Occasion]] = {
    Reminder.CROPS: frozenset({_Occasion.BEGUN, _Occasion.CAGE}),
    Reminder.POT: frozenset({_Occasion.BEGUN}),
    Reminder.TIP: frozenset({_Occasion.ANSWERED}),
    Reminder.WIPE: frozenset({_Occasion.GIVEN}),
    Reminder.CHANGE: frozenset({_Occasion.CAGE}),
}
"""When each is said first, in the order in which they are said."""

_EVERY = {Reminder.TIP: _Occasion.ANSWERED}
"""When each is said that is wanted for every bird; the others once a bird is done."""


def with_reminders(before: State, step: Step, moment: Moment) -> Step:
    """The step with the reminders that are due after it."""
    after, turn = step
    # after a question nothing is said that is no part of it; what is due then comes a little later
    if moment.setting.one_shot or turn.ends or turn.status not in (Status.ANSWERED, Status.COMMAND):
        return step
    occasions = frozenset(_occasions(before, after, turn))
    due = tuple(one for one in _FIRST if _is_due(one, occasions, after, moment))
    said = [TEXTS[one] for one in due]
    # an ill bird's own answer soils the needle, and is no occasion to change it
    foul = (
        after.sitting.foul_needle
        and not after.sitting.told_to_change
        and (
            _Occasion.GIVEN in occasions
            or (before.sitting.foul_needle and _Occasion.ANSWERED in occasions)
        )
    )
    if foul and TEXTS[Reminder.CHANGE] not in said:
        said.append(TEXTS[Reminder.CHANGE])
    if not said:
        return step
    sitting = replace(
        after.sitting, reminded=after.sitting.reminded | set(due),
        told_to_change=after.sitting.told_to_change or TEXTS[Reminder.CHANGE] in said,
    )  # fmt: skip
    reply = Reply(" ".join((turn.reply.said, *said)), "\n".join((turn.reply.for_eye, *said)))
    return replace(after, sitting=sitting, repeatable=reply), replace(turn, reply=reply)


def _occasions(before: State, after: State, turn: Turn) -> Iterator[_Occasion]:
    if after.sitting.cage not in (None, before.sitting.cage):
        yield _Occasion.CAGE
    answered = turn.facts.dose is not None
    if after.begun and (answered or not before.begun):
        yield _Occasion.BEGUN
    if answered:
        yield _Occasion.ANSWERED
    if any(_went_in(entry) for entry in turn.entries):
        yield _Occasion.GIVEN


def _went_in(entry: object) -> bool:
    """Whether this is the end of a dose with which the needle was in a bird, or may have been."""
    return isinstance(entry, DoseEndEntry) and entry.end in (
        DoseEnd.GIVEN, DoseEnd.PART_GIVEN, DoseEnd.NOT_KNOWN,
    )  # fmt: skip


def _is_due(one: Reminder, occasions: frozenset[_Occasion], after: State, moment: Moment) -> bool:
    often = moment.setting.kit.reminders[one]
    if often is Often.NEVER or (one is Reminder.CHANGE and not after.ended):
        return False
    if often is Often.BIRD and _EVERY.get(one, _Occasion.GIVEN) in occasions:
        return True
    return bool(_FIRST[one] & occasions) and one not in after.sitting.reminded
