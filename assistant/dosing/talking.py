"""How a talk aloud begins, as the keeper's kit says it."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.dosing.tables import Table


@dataclass(frozen=True, slots=True)
class TalkSettings:
    """Short answers or full ones, with tones or without.

    `headset` is whether it listens while it speaks.  The devices are by number or part of a name;
    None for the default ones.
    """

    short: bool = False
    tones: bool = True
    headset: bool = False
    microphone: str | None = None
    speaker: str | None = None


def read_talk(table: Table) -> TalkSettings:
    """Read a table with answers ("short" or "full"), tones, headset, microphone and speaker."""
    table.allow_only(("answers", "tones", "headset", "microphone", "speaker"))
    answers = table.text("answers")
    if answers not in (None, "short", "full"):
        table.wrong("answers", f"“{answers}” is not a way to answer", 'Write "short" or "full".')
    return TalkSettings(
        short=answers == "short",
        tones=table.flag("tones", default=True),
        headset=table.flag("headset"),
        microphone=table.text("microphone"),
        speaker=table.text("speaker"),
    )
