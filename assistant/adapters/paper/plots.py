"""Pictures as SVG in a page: black on white, told apart by pattern and shape, never by colour.

One unit is a quarter of a millimetre where the page is as wide as A4 allows, and letters are at
least 12 points high.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Final

from assistant.adapters.paper.pages import Markup, joined, tag
from assistant.dosing.quantities import decimal_text, rounded_text
from assistant.records.glance import SpeciesWeights, Tally
from assistant.records.weights import Weighing

WIDTH: Final = 720
_LETTER: Final = 17
_LINE: Final = 26
_FILLS: Final = ("#000", "url(#slanted)", "#fff", "url(#dotted)", "url(#crossed)")
_PATTERNS: Final = (
    ("slanted", (("line", {"x1": 0, "y1": 8, "x2": 8, "y2": 0}),)),
    ("dotted", (("circle", {"cx": 3, "cy": 3, "r": 1.6}),)),
    (
        "crossed",
        (
            ("line", {"x1": 0, "y1": 8, "x2": 8, "y2": 0}),
            ("line", {"x1": 0, "y1": 0, "x2": 8, "y2": 8}),
        ),
    ),
)


def patterns() -> Markup:
    """The fills that the pictures of a page share: put once into the page, before any picture."""
    made = (
        tag(
            "pattern",
            tag("rect", width=8, height=8, fill="#fff"),
            *(tag(name, stroke="#000", stroke_width=1.6, **where) for name, where in shapes),
            id=name,
            width=8,
            height=8,
            patternUnits="userSpaceOnUse",
        )
        for name, shapes in _PATTERNS
    )
    return tag("svg", tag("defs", *made), width=0, height=0, class_="patterns")


def bars(tallies: Sequence[Tally], kinds: Sequence[str], what: str) -> Markup:
    """Upright bars, one for each span of time, in pieces by kind; `what` describes the picture."""
    height, left, foot = 220, 56, 40
    most = max((sum(one.counts.values()) for one in tallies), default=0) or 1
    step = (WIDTH - left) / max(len(tallies), 1)
    scale = (height - 20) / most
    drawn = [_axis(left, height, most)]
    for place, one in enumerate(tallies):
        x, y = left + place * step + step * 0.15, float(height)
        for kind, fill in zip(kinds, _FILLS, strict=False):
            size = one.counts.get(kind, 0) * scale
            y -= size
            drawn.append(_box(x, y, step * 0.7, size, fill) if size else Markup())
        if place % _every(len(tallies)) == 0:
            drawn.append(_words(x + step * 0.35, height + 24, one.label, "middle"))
    return _picture(height + foot, what, joined(*drawn, _ground(left, height)))


def strip(one: SpeciesWeights) -> Markup:
    """The weights of a species on a line, a ring for each, beside its usual range as a box.

    A cross is a weight outside the range.
    """
    drawn = _strip(one)
    return _picture(3 * _LINE, f"Weights of {one.species}", drawn)


def weight_line(weighings: Sequence[Weighing]) -> Markup:
    """The weighings of one bird over time, a ring for each, joined by a line; two at least."""
    height, left, right = 240, 90, WIDTH - 20
    first, last = weighings[0], weighings[-1]
    low, high = min(one.grams for one in weighings), max(one.grams for one in weighings)
    span, room = (last.at - first.at).total_seconds() or 1, float(high - low) or 1.0
    spots = [
        (
            left + 12 + (one.at - first.at).total_seconds() / span * (right - left - 24),
            height - 20 - float(one.grams - low) / room * (height - 50),
        )
        for one in weighings
    ]
    path = " ".join(f"{_one(x)},{_one(y)}" for x, y in spots)
    return _picture(
        height + 40,
        "Weight over time",
        tag("polyline", points=path, fill="none", stroke="#000", stroke_width=2),
        *(_mark(x, y, outside=False) for x, y in spots),
        _words(left - 8, height - 15, _grams(low), "end"),
        _words(left - 8, 35, _grams(high), "end") if high > low else Markup(),
        _ground(left, height),
        _words(left, height + 26, _day(first.at), "start"),
        _words(right, height + 26, _day(last.at), "end"),
    )


def _day(at: datetime) -> str:
    return f"{at.day} {at:%b %Y}"


def stacks(rows: Sequence[tuple[str, Mapping[str, Decimal]]], kinds: Sequence[str]) -> Markup:
    """Lying bars, one for each batch, in pieces by what became of it, in mL."""
    each, top = 2 * _LINE + 8, 0
    most = max((sum(amounts.values(), Decimal(0)) for _, amounts in rows), default=Decimal(0))
    drawn = []
    for place, (label, amounts) in enumerate(rows):
        y, x = top + place * each, 0.0
        drawn.append(_words(0, y + _LETTER, label, "start"))
        for kind, fill in zip(kinds, _FILLS, strict=False):
            size = float(amounts.get(kind, Decimal(0)) / most) * (WIDTH - 2) if most else 0.0
            drawn.append(_box(x + 1, y + _LINE, size, _LINE - 4, fill) if size else Markup())
            x += size
    return _picture(each * len(rows), "What became of each batch", joined(*drawn))


def legend(kinds: Sequence[str]) -> Markup:
    """What each fill stands for, as a line of text with small boxes."""
    return tag(
        "p", *(_key(kind, fill) for kind, fill in zip(kinds, _FILLS, strict=False)), class_="key"
    )


def _key(kind: str, fill: str) -> Markup:
    box = tag("svg", _box(1, 1, 20, 14, fill), width=22, height=16, aria_hidden="true")
    return tag("span", box, " ", kind)


def _strip(one: SpeciesWeights) -> Markup:
    ends = [grams for grams in (one.low_g, one.high_g) if grams is not None]
    low, high = min((*ends, *one.grams)), max((*ends, *one.grams))
    room = (high - low) / 10 or Decimal(1)
    left, right, y = 230, WIDTH - 20, _LINE

    def at(grams: Decimal) -> float:
        return left + float((grams - low + room) / (high - low + 2 * room)) * (right - left)

    drawn = [_words(0, y + 5, one.species, "start"), _weighings(one, y + _LINE)]
    drawn.append(tag("line", x1=left, y1=y, x2=right, y2=y, stroke="#000"))
    if one.low_g is not None and one.high_g is not None:
        drawn.append(_box(at(one.low_g), y - 11, at(one.high_g) - at(one.low_g), 22, "#ddd"))
        drawn.append(_words(at(one.low_g), y + 30, _grams(one.low_g), "middle"))
        drawn.append(_words(at(one.high_g), y + 30, _grams(one.high_g), "middle"))
    # weights that fall on the same spot are one mark: ink beyond that shows nothing
    spots = {round(at(grams)): grams for grams in one.grams}
    drawn += [_mark(x, y, outside=_outside(one, grams)) for x, grams in sorted(spots.items())]
    return joined(*drawn)


def _weighings(one: SpeciesWeights, y: float) -> Markup:
    number = len(one.grams)
    low, high = _grams(min(one.grams)), _grams(max(one.grams))
    found = low if low == high else f"{low} to {high}"
    return tag(
        "text", f"{number} × {found}" if number > 1 else found, x=0, y=_one(y + 3), class_="small"
    )


def _outside(one: SpeciesWeights, grams: Decimal) -> bool:
    below = one.low_g is not None and grams < one.low_g
    return below or (one.high_g is not None and grams > one.high_g)


def _mark(x: float, y: float, *, outside: bool) -> Markup:
    if not outside:
        return tag(
            "circle", cx=_one(x), cy=_one(y), r=6, fill="#fff", stroke="#000", stroke_width=2
        )
    cross = f"M{_one(x - 6)} {_one(y - 6)} l12 12 m0 -12 l-12 12"
    return tag("path", d=cross, stroke="#000", stroke_width=3, fill="none")


def _axis(left: float, height: float, most: int) -> Markup:
    return joined(
        _words(left - 8, 20 + _LETTER / 3, str(most), "end"),
        _words(left - 8, height, "0", "end"),
        tag("line", x1=left, y1=20, x2=WIDTH, y2=20, stroke="#000", stroke_dasharray="2 6"),
    )


def _ground(left: float, height: float) -> Markup:
    return tag("line", x1=left, y1=height, x2=WIDTH, y2=height, stroke="#000", stroke_width=2)


def _every(number: int) -> int:
    """Which labels have room: every one, every second, and so on."""
    return -(-number * 74 // WIDTH) or 1


def _box(x: float, y: float, width: float, height: float, fill: str) -> Markup:
    return tag(
        "rect",
        x=_one(x),
        y=_one(y),
        width=_one(width),
        height=_one(height),
        fill=fill,
        stroke="#000",
        stroke_width=1.2,
    )


def _words(x: float, y: float, text: str, anchor: str) -> Markup:
    return tag("text", text, x=_one(x), y=_one(y), text_anchor=anchor)


def _picture(height: float, what: str, *drawn: Markup) -> Markup:
    return tag(
        "svg",
        tag("title", what),
        *drawn,
        viewBox=f"0 0 {WIDTH} {_one(height)}",
        font_size=_LETTER,
        role="img",
        class_="plot",
    )


def _grams(grams: Decimal) -> str:
    return f"{rounded_text(grams, 1)} g"


def _one(number: float) -> str:
    return decimal_text(Decimal(round(number, 1)).quantize(Decimal("0.1")))
