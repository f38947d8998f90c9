"""What is due as a calendar file (RFC 5545) that a phone or a calendar program takes in.

Each window is a whole-day event from its first to its last day.  Its name for the calendar stays
the same from one file to the next, so that taking a newer file in changes events and doubles none.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final

from assistant.records.due import DueGroup
from assistant.records.due_sentences import WEIGH, DroppingsDue

PRODID: Final = "-//dosewren//repeat doses//EN"
MARK: Final = PRODID.encode()
"""Tells a calendar file of ours from another program's."""

_LINE_OCTETS: Final = 75
_ESCAPES: Final = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"}
_NO_TEXT: Final = {"Cc", "Cs"}
"""Control characters, which no value may hold, and halves of letters."""

_FICTIONAL: Final = "Demo medicine, never for a real bird."


@dataclass(frozen=True, slots=True)
class Event:
    """A whole-day event; `last` is its last day, and `key` what it is the same event by."""

    key: tuple[str, ...]
    first: date
    last: date
    summary: str
    description: str


def repeat_events(groups: Iterable[DueGroup]) -> Iterator[Event]:
    """The events of windows for the next dose."""
    for one in groups:
        birds = f"{one.birds} × " if one.birds > 1 else ""
        name = one.whose.bird or one.whose.ring
        whose = f"{name} ({one.whose.species})" if name else f"{birds}{one.whose.species}"
        cage = f", {one.whose.cage}" if one.whose.cage else ""
        demo = f"\n{_FICTIONAL}" if one.fictional else ""
        yield Event(
            key=("repeat", *one.whose.key, one.medicine, one.earliest.isoformat()),
            first=one.earliest,
            last=one.latest,
            summary=f"{one.medicine}: {whose}{cage}",
            description=f"The window for the next dose. {WEIGH}{demo}",
        )


def droppings_event(droppings: DroppingsDue, today: date) -> Event:
    """The event of the next look at droppings; today where none is known."""
    day = droppings.on or today
    return Event(
        key=("droppings", day.isoformat()),
        first=day,
        last=day,
        summary="Have droppings checked for worm eggs",
        description=f"Every {droppings.every_days} days, as kit.toml says.",
    )


def calendar_text(events: Iterable[Event], now: datetime) -> str:
    """The calendar file with these events, one at least: RFC 5545 knows none without any."""
    stamp = now.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODID}",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        *(line for event in events for line in _event(event, stamp)),
        "END:VCALENDAR",
    ]
    return "".join(f"{part}\r\n" for line in lines for part in _folded(line))


def _event(event: Event, stamp: str) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{_uid(event.key)}"
    yield f"DTSTAMP:{stamp}"
    yield f"DTSTART;VALUE=DATE:{_day(event.first)}"
    # the end of a whole-day event is the day after its last one
    yield f"DTEND;VALUE=DATE:{_day(event.last + timedelta(days=1))}"
    yield f"SUMMARY:{_text(event.summary)}"
    yield f"DESCRIPTION:{_text(event.description)}"
    yield "TRANSP:TRANSPARENT"
    yield from ("BEGIN:VALARM", "ACTION:DISPLAY", "TRIGGER:PT8H")
    yield f"DESCRIPTION:{_text(event.summary)}"
    yield from ("END:VALARM", "END:VEVENT")


def _uid(key: tuple[str, ...]) -> str:
    digest = hashlib.sha256("\x1f".join(key).encode("utf-8", "backslashreplace"))
    return f"{digest.hexdigest()[:32]}@dosewren"


def _day(day: date) -> str:
    return day.strftime("%Y%m%d")


def _text(text: str) -> str:
    """The text as a value: escaped, and without what no value may hold."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    kept = (sign for sign in plain if sign == "\n" or unicodedata.category(sign) not in _NO_TEXT)
    return "".join(_ESCAPES.get(sign, sign) for sign in kept)


def _folded(line: str) -> Iterator[str]:
    """The line in pieces of at most 75 octets, each but the first after a blank, no sign cut."""
    piece, octets = "", 0
    for sign in line:
        size = len(sign.encode("utf-8"))
        if octets + size > _LINE_OCTETS:
            yield piece
            piece, octets = " ", 1
        piece, octets = piece + sign, octets + size
    yield piece
