"""What a keeper wants to be reminded of, and how often."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.dosing.tables import Table


class Reminder(StrEnum):
    """What is reminded of; the word is the key in kit.toml."""

    SHAKE = "shake"
    """The stock, before the draw: only for a medicine that needs it."""
    CROPS = "crops"
    """Only into an empty crop."""
    POT = "pot"
    """Never a used needle into the pot."""
    TIP = "tip"
    """The tip felt in the crop, and no pushing against resistance."""
    WIPE = "wipe"
    """The needle, after every bird."""
    CHANGE = "change"
    """The needle, changed or disinfected between cages."""


class Often(StrEnum):
    """How often a reminder is said."""

    NEVER = "never"
    ROUND = "round"
    CAGE = "cage"
    BIRD = "bird"


USUAL: Mapping[Reminder, Often] = MappingProxyType({
    Reminder.SHAKE: Often.BIRD,
    Reminder.CROPS: Often.CAGE,
    Reminder.POT: Often.ROUND,
    Reminder.TIP: Often.ROUND,
    Reminder.WIPE: Often.ROUND,
    Reminder.CHANGE: Often.CAGE,
})  # fmt: skip
"""Where kit.toml says nothing else.  A suspension settles while a bird is dosed, so that is said
for each draw; the rest once, or it is no longer heard (common practice, no source)."""


def read_reminders(table: Table) -> Mapping[Reminder, Often]:
    """The table `[reminders]` of kit.toml: each key of `Reminder` with a word of `Often`."""
    table.allow_only(tuple(Reminder))
    return {one: table.choice(one, Often, often) for one, often in USUAL.items()}
