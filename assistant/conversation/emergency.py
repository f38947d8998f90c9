"""When a bird coughs, has fluid at the nostrils or may have had too much: one line, at any moment.

The bird that was being dosed gets nothing more in this round.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from assistant.conversation.moment import Moment, Step, noted, said
from assistant.conversation.sentences import what
from assistant.conversation.state import State
from assistant.language.requests import EMERGENCIES

# FOR A VET'S REVIEW: the wording and the order of these words.  Nothing may be added to them here.
EMERGENCY = (
    "Stop. Needle out. Let it shake and clear itself. Nothing more by mouth. "
    "Keep it warm and quiet. Call the vet now."
)
"""Common practice, no source."""

NOTHING_MORE = "No dose. This bird is for the vet first: nothing more by mouth in this round."


def emergency(state: State, moment: Moment, kind: str) -> Step:
    """The line, with a note of which bird it was; nothing that was asked stays open."""
    entry = state.pending or state.last
    alarmed = state.sitting.alarmed
    if entry is not None:
        alarmed |= {entry.dose_id, *filter(None, [entry.bird])}
    sitting = replace(state.sitting, alarmed=alarmed, foul_needle=True)
    after = replace(state, sitting=sitting, question=None, listening=True)
    about = f"{kind}: {entry.dose_id}, {what(entry)}" if entry else kind
    return noted(said(after, moment, EMERGENCY), moment, "emergency", about)


ALARMS: Mapping[str, Callable[[State, Moment], Step]] = {
    kind: partial(emergency, kind=kind) for kind in sorted(EMERGENCIES)
}
"""What each request that tells of an emergency leads to."""
