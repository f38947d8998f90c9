"""The screen for whoever glances over: where what stands, in any size from 40 by 15 on.

The dose is shown whole (bird, weight, volume, both marks, what to do) or not at all: where there is
no room for it in large digits, the window is to be made larger.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from decimal import Decimal

from assistant.adapters.screen.big_digits import big_digits
from assistant.adapters.screen.canvas import Canvas, Frame, Style, width_of
from assistant.conversation.glance import Glance, OpenDose
from assistant.dosing.quantities import decimal_text

LEAST = (40, 15)
"""Columns and rows of a small board's screen."""

_UNIT = " mL"
_QUIETEST_DB, _LOUDEST_DB = -75.0, -5.0
_ROOMY_ROWS = 20
_DEMO = "Demo medicine, never for a real bird."


@dataclass(frozen=True, slots=True)
class Look:
    """All that the screen shows.

    `phase` is what the talk loop does; empty where nobody talks.  `warning` goes with the dose that
    is open.  `urgent` is what stands alone on the screen: what to do in an emergency, or why there
    is no round to look at.
    """

    glance: Glance
    heard: str = ""
    said: str = ""
    phase: str = ""
    level_db: float = _QUIETEST_DB
    noise_db: float = _QUIETEST_DB
    warning: str = ""
    urgent: str = ""


@dataclass(frozen=True, slots=True)
class Signs:
    """The signs that a terminal has: block characters, or plain ones where it has no others."""

    blocks: bool = True

    def of(self, phase: str) -> str:
        """The sign of a phase."""
        return (_SIGNS if self.blocks else _PLAIN_SIGNS).get(phase, " ")


_WORDS = {
    "listening": "LISTENING",
    "hearing": "HEARING YOU",
    "thinking": "THINKING",
    "speaking": "SPEAKING",
    "deaf": "NO MICROPHONE",
    "paused": "PAUSED",
    "": "TYPED ROUND",
}
_SIGNS = {"listening": "○", "hearing": "●", "thinking": "…", "speaking": "►", "deaf": "×"}
_PLAIN_SIGNS = {"listening": "o", "hearing": "*", "thinking": "~", "speaking": ">", "deaf": "x"}


def lay_out(look: Look, columns: int, rows: int, signs: Signs) -> Frame:
    """The look as a frame of this size."""
    canvas = Canvas(columns, rows)
    if columns < LEAST[0] or rows < LEAST[1]:
        _say(canvas, f"Make this window larger: at least {LEAST[0]} by {LEAST[1]}.", Style.STRONG)
    elif look.urgent:
        _say(canvas, look.urgent, Style.ALARM)
    else:
        _Screen(canvas, look, signs).draw()
    return canvas.frame()


def _say(canvas: Canvas, text: str, style: Style) -> None:
    lines = textwrap.wrap(text, max(canvas.columns - 2, 1))
    for number, line in enumerate(lines):
        canvas.centre(max(0, (canvas.rows - len(lines)) // 2) + number, line, style)


class _Screen:
    def __init__(self, canvas: Canvas, look: Look, signs: Signs) -> None:
        self._canvas = canvas
        self._look = look
        self._signs = signs
        self._inside = canvas.columns - 2
        self._last = canvas.rows - 1

    def draw(self) -> None:
        self._status()
        self._footer()
        dose = self._look.glance.open
        if dose is None:
            self._without_dose()
        else:
            self._with_dose(dose)

    def _status(self) -> None:
        look = self._look
        phase = look.phase if look.glance.awake else "paused"
        left = f" {self._signs.of(phase)} {_WORDS.get(phase, phase.upper())}"
        right = f"{look.glance.done} "
        middle = look.glance.medicine
        self._canvas.put(0, 0, left)
        self._canvas.put(self._canvas.columns - width_of(right), 0, right)
        if width_of(left + right + middle) + 6 <= self._canvas.columns:
            self._canvas.centre(0, middle)
        style = Style.ALARM if phase in ("deaf", "paused") else Style.BAR
        self._canvas.fill(0, style)

    def _footer(self) -> None:
        if self._look.phase:
            self._meter(self._last)
            self._last -= 1
        if self._look.heard:
            heard = _cut(f"“{self._look.heard}”", self._inside)
            self._canvas.put(1, self._last, heard)
        self._last -= 1

    def _meter(self, row: int) -> None:
        """How loud it is: light up to the noise of the last seconds, dark above it."""
        label = "Sound "
        room = self._inside - len(label)
        level, noise = (_share(db, room) for db in (self._look.level_db, self._look.noise_db))
        light, dark, rest = "░█·" if self._signs.blocks else "-#."
        quiet = min(level, noise)
        bar = light * quiet + dark * (level - quiet)
        self._canvas.put(1, row, label, Style.FAINT)
        self._canvas.put(1 + len(label), row, bar)
        self._canvas.put(1 + len(label) + level, row, rest * (room - level), Style.FAINT)

    def _without_dose(self) -> None:
        look = self._look
        if look.glance.asks:
            self._paragraph(look.said, Style.ASK)
        elif look.said:
            self._paragraph(look.said, Style.STRONG)
        else:
            self._paragraph("Say a bird and its weight.", Style.STRONG)

    def _paragraph(self, text: str, style: Style) -> None:
        lines = textwrap.wrap(text, self._inside)
        room = self._last
        shown = lines if len(lines) <= room else [*lines[: room - 1], "…"]
        for number, line in enumerate(shown):
            self._canvas.centre(1 + (room - len(shown)) // 2 + number, line, style)

    def _with_dose(self, dose: OpenDose) -> None:
        below = self._below(dose)
        roomy = self._canvas.rows >= _ROOMY_ROWS
        syringe_rows = 3 if roomy else 2
        first_below = self._last - len(below) + 1
        top = first_below - syringe_rows
        who = _cut(f"{dose.who}, {dose.weight}", self._inside)
        self._canvas.centre(1, who, Style.STRONG)
        if dose.draw_to_ml is None:
            self._say_undrawable(2, top + syringe_rows)
        else:
            self._number(dose.volume_ml, 2, top)
            self._syringe(dose, dose.draw_to_ml, top, with_scale=roomy)
        for number, (line, style) in enumerate(below):
            self._canvas.centre(first_below + number, line, style)

    def _below(self, dose: OpenDose) -> list[tuple[str, Style]]:
        """What stands under the syringe: what to do, what is asked, and what is no medicine."""
        columns = self._canvas.columns
        lines = [(line, Style.STRONG) for line in textwrap.wrap(_how(dose), columns)]
        if self._look.warning:
            lines += [(line, Style.ALARM) for line in _two_lines(self._look.warning, columns)]
        if self._look.glance.asks:
            lines += [(line, Style.ASK) for line in _two_lines(self._look.said, columns)]
        if dose.fictional:
            lines.append((_DEMO, Style.PLAIN))
        return lines

    def _say_undrawable(self, first: int, after: int) -> None:
        text = "Do not draw it as it stands: say again, or ask for the bird again."
        lines = textwrap.wrap(text, self._inside)
        for number, line in enumerate(lines):
            self._canvas.centre((first + after - len(lines)) // 2 + number, line, Style.ALARM)

    def _number(self, volume_ml: Decimal, first: int, after: int) -> None:
        room = self._inside - len(_UNIT)
        lines = big_digits(decimal_text(volume_ml), room, after - first, blocks=self._signs.blocks)
        if not lines:
            self._canvas.centre(first, f"{decimal_text(volume_ml)}{_UNIT}", Style.DOSE)
            return
        width = len(lines[0]) + len(_UNIT)
        left = (self._canvas.columns - width) // 2
        top = first + (after - first - len(lines)) // 2
        for number, line in enumerate(lines):
            self._canvas.put(left, top + number, line, Style.DOSE)
        self._canvas.put(left + width - len(_UNIT), top + len(lines) - 1, _UNIT, Style.DOSE)

    def _syringe(self, dose: OpenDose, draw_to: Decimal, row: int, *, with_scale: bool) -> None:
        """The barrel with the plunger at the dose, and above it the mark to draw to first."""
        nozzle, full, plunger, empty, end = self._barrel_signs()
        room = self._inside - len(nozzle) - 2
        start = 1 + len(nozzle)
        at, past = (_at(volume, dose.syringe_ml, room) for volume in (dose.volume_ml, draw_to))
        barrel = full * at + plunger + empty * (room - at)
        self._canvas.put(1, row + 1, nozzle)
        self._canvas.put(start, row + 1, barrel, Style.DOSE)
        self._canvas.put(start + room + 1, row + 1, end)
        marked = range(0)
        if draw_to != dose.volume_ml:
            marked = self._mark(start + past, row, f"first {decimal_text(draw_to)}")
        self._name_syringe(dose, row, marked)
        if with_scale:
            self._scale(dose, start, at, row + 2)

    def _mark(self, column: int, row: int, text: str) -> range:
        """The mark with its text towards the middle, and the columns that they take."""
        sign = "▼" if self._signs.blocks else "v"
        self._canvas.put(column, row, sign, Style.ASK)
        beside = column + 2
        if column > self._canvas.columns // 2:
            beside = column - 1 - len(text)
        self._canvas.put(beside, row, text, Style.ASK)
        return range(min(column, beside), max(column + 1, beside + len(text)))

    def _name_syringe(self, dose: OpenDose, row: int, marked: range) -> None:
        """Which syringe it is, at the side that the mark leaves free."""
        size = f"{decimal_text(dose.syringe_ml)} mL"
        end = self._canvas.columns - 1
        for name in (f"{size} syringe", size):
            if not marked or 1 + len(name) < marked.start:
                self._canvas.put(1, row, name)
                return
            if marked.stop + len(name) < end:
                self._canvas.put(end - len(name), row, name)
                return

    def _scale(self, dose: OpenDose, start: int, at: int, row: int) -> None:
        capacity = decimal_text(dose.syringe_ml)
        volume = decimal_text(dose.volume_ml)
        self._canvas.put(start, row, "0", Style.FAINT)
        self._canvas.put(self._canvas.columns - 1 - len(capacity), row, capacity, Style.FAINT)
        self._canvas.put(start + max(at - len(volume) // 2, 2), row, volume, Style.STRONG)

    def _barrel_signs(self) -> tuple[str, str, str, str, str]:
        """The nozzle, what is full, the plunger, what is empty, and the end of the barrel."""
        return ("──┤", "█", "┃", "─", "├") if self._signs.blocks else ("--<[", "=", "|", " ", "]")


def _how(dose: OpenDose) -> str:
    volume = decimal_text(dose.volume_ml)
    needle = f"{dose.needle[:1].upper()}{dose.needle[1:]}"
    if dose.draw_to_ml is None:
        return f"{needle}."
    if dose.draw_to_ml == dose.volume_ml:
        return f"{needle}: draw to {volume} only."
    clear = "empty it, " if dose.needle.startswith("rinsed") else ""
    return f"{needle}: {clear}draw to {decimal_text(dose.draw_to_ml)}, push to {volume}."


def _two_lines(text: str, columns: int) -> list[str]:
    """The text in two lines at most: of a longer one its end, which says what is asked."""
    *earlier, last = textwrap.wrap(text, columns)
    if len(earlier) <= 1:
        return [*earlier, last]
    return [f"…{earlier[-1][1:]}", last]


def _at(volume_ml: Decimal, capacity_ml: Decimal, room: int) -> int:
    return round(volume_ml / capacity_ml * room)


def _share(level_db: float, room: int) -> int:
    share = (level_db - _QUIETEST_DB) / (_LOUDEST_DB - _QUIETEST_DB)
    return round(min(max(share, 0.0), 1.0) * room)


def _cut(text: str, room: int) -> str:
    """The text cut to the room, as it would be read: what is left out is shown."""
    while width_of(text) > room:
        text = f"{text[:-2]}…"
    return text
