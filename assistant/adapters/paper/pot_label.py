"""The labels of the pots of a round as a page to print, cut out and stick on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from assistant.adapters.paper.pages import Content, Markup, page, tag
from assistant.conversation.dose_reply import FICTIONAL
from assistant.dosing.days import ends_with_day, last_day
from assistant.planning.pot_label import PotLabel

_STYLE: Final = """
@page { size: A4 portrait; margin: 12mm; }
* { box-sizing: border-box; }
body { font-family: "Noto Sans", "Liberation Sans", Arial, sans-serif; color: #000; margin: 0;
  display: flex; flex-wrap: wrap; gap: 6mm; }
.label { width: 90mm; min-height: 62mm; border: 0.7mm solid #000; border-radius: 2mm;
  padding: 3mm; break-inside: avoid; font-size: 11pt; line-height: 1.25; }
.label p { margin: 0 0 1mm; }
.label .medicine { font-size: 18pt; font-weight: bold; line-height: 1.1; }
.label .strength { font-size: 13pt; font-weight: bold; }
.label .discard { font-size: 13pt; font-weight: bold; border: 0.5mm solid #000;
  padding: 0.8mm 2mm; }
.label .write { display: inline-block; min-width: 16mm; border-bottom: 0.4mm solid #000; }
.label .demo { font-weight: bold; }
"""
_BLANK: Final = "\N{NO-BREAK SPACE}"


def label_page(labels: Sequence[PotLabel]) -> str:
    """The page with a label for each pot."""
    title = f"Label of the pot, {labels[0].medicine}" if labels else "No pot to label"
    return page(title, _STYLE, *map(_label, labels))


def _label(label: PotLabel) -> Markup:
    return tag("div", *_lines(label), class_="label")


def _lines(label: PotLabel) -> Iterator[Content]:
    yield tag("p", label.medicine, class_="medicine")
    yield tag("p", label.parts, class_="strength")
    if label.strength:
        yield tag("p", label.strength)
    pot = f"Pot {label.number} of {label.of}: " if label.of > 1 else ""
    yield tag("p", f"{pot}{label.holds}, from {label.made}")
    yield tag("p", "Batch number ", tag("span", _BLANK, class_="write"))
    yield tag("p", f"Made up on {_when(label.made_at)}")
    yield tag("p", _discard(label), class_="discard")
    if label.shaken:
        yield tag("p", tag("b", "Shake before each draw."))
    if label.storage:
        yield tag("p", f"Keep: {label.storage}")
    yield tag("p", "For birds, by crop needle. Out of reach of children.")
    if label.fictional:
        yield tag("p", FICTIONAL, class_="demo")


def _discard(label: PotLabel) -> str:
    if label.discard_at is None:
        return "Throw away at the end of the day: no keeping time is stated"
    if ends_with_day(label.discard_at):
        last = last_day(label.discard_at)
        return f"Throw away after {last.day} {last:%B %Y}"
    return f"Throw away by {_when(label.discard_at)}"


def _when(at: datetime) -> str:
    return f"{at.day} {at:%B %Y, %H:%M}"
