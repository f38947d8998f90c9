"""The terminal: questions with a default, the chat, and a syringe drawn with its plunger."""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
from decimal import Decimal
from typing import Final

from assistant.conversation.turn import Status, Turn
from assistant.dosing.dose import Dose
from assistant.dosing.quantities import decimal_text

BARREL_WIDTH: Final = 40
"""How many characters the barrel of the drawn syringe is long."""

_NOZZLE: Final = "  ---<["
_COLOURS: Final = {
    Status.ANSWERED: "\033[1;32m",
    Status.ASKED: "\033[1;33m",
    Status.COMMAND: "",
    Status.IGNORED: "\033[2m",
}
_PLAIN: Final = "\033[0m"


class TerminalPrompter:
    """Questions on standard output, answers from standard input."""

    def ask(self, question: str, default: str) -> str:
        """The answer, or the default where only Enter was pressed; EOFError at the end."""
        suffix = f" [{default}]" if default else ""
        return input(f"{question}{suffix}: ").strip() or default

    def say(self, text: str) -> None:
        """Show the text."""
        sys.stdout.write(f"{text}\n")
        sys.stdout.flush()


def uses_colour() -> bool:
    """Whether to colour: on a terminal that can, and where NO_COLOR is not set."""
    dumb = os.environ.get("TERM", "dumb") == "dumb"
    return sys.stdout.isatty() and not dumb and not os.environ.get("NO_COLOR")


def coloured(turn: Turn) -> str:
    """The reply for the eye, folded to the width of the terminal, its first line coloured."""
    return coloured_text(turn.reply.for_eye, turn.status)


def coloured_text(text: str, status: Status) -> str:
    """The text folded, its first line in the colour of the status: it only repeats the words."""
    text = folded(text)
    colour = _COLOURS[status] if uses_colour() else ""
    first, newline, rest = text.partition("\n")
    return f"{colour}{first}{_PLAIN}{newline}{rest}" if colour else text


def printable(text: str) -> str:
    """The text as another terminal may print it: nothing in it can steer this one."""
    return "".join(char if char.isprintable() or char == "\n" else "·" for char in text)


def folded(text: str) -> str:
    """The text with its lines folded at spaces to the width of the terminal."""
    width = shutil.get_terminal_size().columns
    return "\n".join(
        textwrap.fill(line, width, subsequent_indent="  ", break_long_words=False)
        for line in text.splitlines()
    )


def drawn_syringe(dose: Dose) -> str:
    """The syringe with its plunger at the dose, and the mark to draw to where it is another.

    The needle is to the left; `=` is the medicine, `|` the plunger at the dose.
    """
    capacity = dose.syringe.capacity_ml
    at = _column(dose.volume_ml, capacity)
    barrel = "=" * at + "|" + " " * (BARREL_WIDTH - at)
    lines = [f"{_NOZZLE}{barrel}]  {decimal_text(dose.volume_ml)} mL"]
    if dose.draw_to_ml != dose.volume_ml:
        above = " " * _column(dose.draw_to_ml, capacity)
        first = f"v draw to {decimal_text(dose.draw_to_ml)} mL first"
        lines.insert(0, f"{' ' * len(_NOZZLE)}{above}{first}")
    marks = {0: "0", at: f"^ {decimal_text(dose.volume_ml)}", BARREL_WIDTH: decimal_text(capacity)}
    return "\n".join((*lines, " " * len(_NOZZLE) + _scale(marks)))


def _column(volume: Decimal, capacity: Decimal) -> int:
    return round(volume / capacity * BARREL_WIDTH)


def _scale(marks: dict[int, str]) -> str:
    """Labels at their columns; one that would run into the next is left out."""
    text = ""
    for column in sorted(marks):
        if column and len(text) >= column:
            continue
        text = text.ljust(column) + marks[column]
    return text
