"""A syringe drawn to be read from an arm's length and more: its scale, and two marks on it.

The needle points to the left, so the scale runs from the nozzle to the right, as on a syringe held
with the needle to the left.  Every mark stands where its volume is on the drawn scale.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from assistant.adapters.paper.pages import Markup, joined, tag
from assistant.dosing.quantities import decimal_text
from assistant.dosing.syringe import Syringe

BARREL_MM: Final = Decimal(150)
"""How long the scale is drawn, from nought to the syringe's capacity."""

_LEFT_MM: Final = Decimal(22)
_WIDTH_MM: Final = 200
_HEIGHT_MM: Final = 33
_TOP, _BOTTOM = Decimal(9), Decimal(19)
_CLOSEST_MM: Final = Decimal("0.9")
_NUMBERED_MM: Final = Decimal(14)
_CLEAR_MM: Final = Decimal(5)
"""No number stands nearer to the mark to push to: the line would run through it."""

_STEPS: Final = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000)
_LABEL_ROOM_MM: Final = Decimal(34)


@dataclass(frozen=True, slots=True)
class Marks:
    """Where to fill a dry needle's syringe to, and where to push to, in mL."""

    fill_ml: Decimal
    push_ml: Decimal


def drawn(syringe: Syringe | None = None, marks: Marks | None = None) -> Markup:
    """The syringe with its scale and its marks; without them a blank one to be marked by hand."""
    parts = [_barrel()]
    if syringe and marks:
        parts = [
            _medicine(syringe, marks),
            *parts,
            *_scale(syringe, marks),
            *_marked(syringe, marks),
        ]
    return tag(
        "svg",
        *parts,
        viewBox=f"0 0 {_WIDTH_MM} {_HEIGHT_MM}",
        class_="syringe",
        role="img",
        xmlns="http://www.w3.org/2000/svg",
    )


def at_mm(syringe: Syringe, volume_ml: Decimal) -> Decimal:
    """How far along the scale a volume stands, in mm from nought."""
    return BARREL_MM * volume_ml / syringe.capacity_ml


def _x(syringe: Syringe, volume_ml: Decimal) -> str:
    return _mm(_LEFT_MM + at_mm(syringe, volume_ml))


def _mm(length: Decimal) -> str:
    return decimal_text(round(length, 3))


def _barrel() -> Markup:
    """The needle, the nozzle, the barrel and its flange."""
    middle = _mm((_TOP + _BOTTOM) / 2)
    return joined(
        tag("line", x1=1, x2=16, y1=middle, y2=middle, class_="needle"),
        tag("path", d=f"M16 {_mm(_TOP + 3)} H22 V{_mm(_BOTTOM - 3)} H16 Z", class_="hub"),
        tag(
            "rect",
            x=_mm(_LEFT_MM),
            y=_mm(_TOP),
            width=_mm(BARREL_MM),
            height=_mm(_BOTTOM - _TOP),
            class_="barrel",
        ),
        tag(
            "line",
            x1=_mm(_LEFT_MM + BARREL_MM),
            x2=_mm(_LEFT_MM + BARREL_MM),
            y1=_mm(_TOP - 4),
            y2=_mm(_BOTTOM),
            class_="flange",
        ),
    )


def _scale(syringe: Syringe, marks: Marks) -> list[Markup]:
    """The graduations, as many as can be told apart, and numbers where there is room for them."""
    pushed = at_mm(syringe, marks.push_ml)
    step = _step(syringe, _CLOSEST_MM)
    numbered = _step(syringe, _NUMBERED_MM)
    ticks = []
    for count in range(int(syringe.capacity_ml / syringe.graduation_ml) + 1):
        volume = count * syringe.graduation_ml
        is_numbered = count % numbered == 0
        if count % step and not is_numbered:
            continue
        x, end = _x(syringe, volume), _BOTTOM - (5 if is_numbered else 2)
        ticks.append(tag("line", x1=x, x2=x, y1=_mm(_BOTTOM), y2=_mm(end), class_="tick"))
        if is_numbered and abs(at_mm(syringe, volume) - pushed) >= _CLEAR_MM:
            number = decimal_text(volume)
            ticks.append(tag("text", number, x=x, y=_mm(_BOTTOM + Decimal("4.5")), class_="number"))
    return ticks


def _step(syringe: Syringe, closest_mm: Decimal) -> int:
    """Every how many graduations one is far enough from the next."""
    one = at_mm(syringe, syringe.graduation_ml)
    return next((step for step in _STEPS if step * one >= closest_mm), _STEPS[-1])


def _medicine(syringe: Syringe, marks: Marks) -> Markup:
    """What is in the barrel at the dose."""
    return tag(
        "rect",
        x=_mm(_LEFT_MM),
        y=_mm(_TOP),
        width=_mm(at_mm(syringe, marks.push_ml)),
        height=_mm(_BOTTOM - _TOP),
        class_="dose",
    )


def _marked(syringe: Syringe, marks: Marks) -> tuple[Markup, ...]:
    """The two marks with their figures: filling above the barrel, pushing below it."""
    return (
        _mark(syringe, marks.fill_ml, "fill", f"fill to {decimal_text(marks.fill_ml)}"),
        _mark(syringe, marks.push_ml, "push", f"push to {decimal_text(marks.push_ml)}"),
    )


def _mark(syringe: Syringe, volume_ml: Decimal, kind: str, text: str) -> Markup:
    x = _x(syringe, volume_ml)
    near_end = at_mm(syringe, volume_ml) > BARREL_MM - _LABEL_ROOM_MM
    side, shift = ("end", Decimal("-1.5")) if near_end else ("start", Decimal("1.5"))
    above = kind == "fill"
    top, bottom = (_TOP - 8, _BOTTOM) if above else (_TOP, _BOTTOM + 12)
    label_y = _TOP - 3 if above else _BOTTOM + 12
    label_x = _mm(_LEFT_MM + at_mm(syringe, volume_ml) + shift)
    line = tag(
        "line",
        x1=x,
        x2=x,
        y1=_mm(top),
        y2=_mm(bottom),
        class_=f"mark {kind}",
        data_ml=decimal_text(volume_ml),
        data_capacity=decimal_text(syringe.capacity_ml),
    )
    label = tag("text", text, x=label_x, y=_mm(label_y), text_anchor=side, class_=f"to {kind}")
    return joined(line, label)
