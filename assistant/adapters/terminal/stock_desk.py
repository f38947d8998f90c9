"""What keeping stock by text needs around it: questions, read-backs, volumes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, TypeVar

from assistant.adapters.home.folder import Holding
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.terminal.asking import Prompter, ask_until, ask_yes
from assistant.dosing.quantities import Kind, QuantityProblem, millilitres, parse
from assistant.errors import UsageProblem
from assistant.ports import Clock

T = TypeVar("T")

ROUND: Final = "stock"
"""What stands in the register for the round, since what is done by text belongs to none."""


@dataclass(frozen=True, slots=True)
class StockDesk:
    """What keeping stock needs around it.  With `sure`, what is read back is taken as confirmed."""

    holding: Holding
    prompter: Prompter
    register: SqliteRegister
    clock: Clock
    sure: bool = False


def volume(answer: str, *, zero: bool = False) -> Decimal:
    """A volume in mL from "45", "45 mL" or "0.045 L"; raises ValueError."""
    text = f"{answer} mL" if answer[-1:].isdigit() else answer
    try:
        return millilitres(parse(text, Kind.VOLUME))
    except QuantityProblem:
        if zero and text.removesuffix(" mL").strip("0.") == "" and answer:
            return Decimal(0)
        raise


def some_ml(answer: str) -> Decimal:
    """A volume above zero."""
    return volume(answer)


def any_ml(answer: str) -> Decimal:
    """A volume, or nothing."""
    return volume(answer, zero=True)


def answered(
    desk: StockDesk, question: str, given: str | None, check: Callable[[str], T], default: str = ""
) -> T:
    """What was given, or what is answered; raises UsageProblem for a given one that will not do."""
    if given is None:
        return ask_until(desk.prompter, question, default, check)
    try:
        return check(given.strip())
    except ValueError as refused:
        raise UsageProblem(str(refused), "Nothing was written.") from refused


def agreed(desk: StockDesk, lines: list[str]) -> bool:
    """Read the lines back, and say whether the keeper agrees to them."""
    desk.prompter.say("\n".join(lines))
    if desk.sure or ask_yes(desk.prompter, "Is that right?"):
        return True
    desk.prompter.say("Nothing was written.")
    return False
