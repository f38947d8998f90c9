"""A batch made up, by text: what was measured, read back and written.

What was given is taken; what was not is asked for, again until it can be used.  Nothing is written
without a yes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final

from assistant.adapters.terminal.stock_desk import (
    ROUND,
    StockDesk,
    agreed,
    answered,
    some_ml,
    volume,
)
from assistant.conversation.dose_reply import FICTIONAL
from assistant.dosing.days import day, end_of, ends_with_day
from assistant.dosing.limits import unconfirmed
from assistant.dosing.medicine import Form, Medicine
from assistant.dosing.quantities import decimal_text, rounded_text
from assistant.errors import DataProblem
from assistant.stock.batch import Batch, batch_id, next_number, why_not_made
from assistant.stock.books import Book
from assistant.stock.moves import Move, MoveKind


@dataclass(frozen=True, slots=True)
class Making:
    """What was said of a batch beforehand, as it was typed; None is asked for."""

    medicine: str | None = None
    product: str | None = None
    water: str | None = None
    product_batch: str | None = None
    expires: str | None = None
    discard: str | None = None
    pot: str | None = None


def make(desk: StockDesk, given: Making) -> Book | None:
    """Lead through a batch that was made up, and write it; None where the keeper says no.

    Raises DataProblem, RegisterProblem or UsageProblem; nothing is written then.
    """
    now = desk.clock.now()
    medicine = _medicine(desk, given.medicine)
    product = answered(desk, "Product that you measured, in mL", given.product, some_ml)
    water = _water(desk, medicine, product, given.water)
    product_batch, expires = _bottle(desk, medicine, given, now)
    number = next_number(next((book.batch.number for book in desk.register.books(1)), None))
    batch = Batch(
        at=now,
        batch_id=batch_id(now, number),
        number=number,
        medicine=medicine.name,
        strength=medicine.said_strength,
        dilution=medicine.dilution.said,
        product_ml=product,
        water_ml=water,
        discard_by=_discard_by(desk, now, _Keeps(medicine.shelf_life_days, expires), given.discard),
        product_batch=product_batch,
        product_expires=expires,
        pot=answered(desk, "What it stands in, as in blue jar (Enter for nothing)", given.pot, str),
        fictional=medicine.fictional,
    )
    made = Move(now, ROUND, batch.batch_id, MoveKind.MADE, batch.made_ml)
    if not agreed(desk, _read_back(batch)):
        return None
    desk.register.append([batch, made])
    desk.prompter.say(f"Written. {_for_the_pot(batch, medicine)}")
    return Book(batch).after(made)


_NOT_STATED: Final = " (Enter if not stated)"


def _bottle(
    desk: StockDesk, medicine: Medicine, given: Making, now: datetime
) -> tuple[str, date | None]:
    """The product's own batch number and expiry; where nothing is said, as the medicine's file has.

    The date in the file is that of the bottle with the number in the file, and of no other.
    """
    known, until = medicine.record.product_batch or "", medicine.record.product_expires
    number = answered(
        desk,
        f"The product's own batch number, as on its label{'' if known else _NOT_STATED}",
        given.product_batch,
        lambda answer: answer or known,
        known,
    )
    usual = until.isoformat() if until and number == known else ""
    expires = answered(
        desk,
        "When the product expires, as on its label: 2027-06 or 2027-06-30"
        f"{'' if usual else _NOT_STATED}",
        given.expires,
        lambda answer: _expiry(answer or usual, now),
        usual,
    )
    return number, expires


def _medicine(desk: StockDesk, name: str | None) -> Medicine:
    known = desk.holding.medicines
    if not known:
        raise DataProblem("There is no medicine.", "Write one into medicines.toml first.")
    usual = desk.holding.usual_medicine
    names = ", ".join(medicine.name for medicine in known)
    question = f"Which medicine? {names}"
    chosen = answered(
        desk, question, name, lambda answer: _named(desk, answer), usual.name if usual else ""
    )
    if refusal := unconfirmed(chosen):
        raise DataProblem(refusal.said, f'Run: dosewren confirm "{chosen.name}"')
    return chosen


def _named(desk: StockDesk, answer: str) -> Medicine:
    found = desk.holding.medicine(answer)
    if found is None:
        names = ", ".join(medicine.name for medicine in desk.holding.medicines)
        raise ValueError(f"There is no medicine “{answer}”. There is: {names}.")
    return found


def _water(desk: StockDesk, medicine: Medicine, product: Decimal, given: str | None) -> Decimal:
    """The water that was measured, which has to make the medicine's own dilution."""
    if not medicine.dilution.water and given is None:
        return Decimal(0)
    wanted = rounded_text(Fraction(product) * (medicine.dilution.factor - 1))

    def check(answer: str) -> Decimal:
        water = volume(answer, zero=True)
        if why := why_not_made(product, water, medicine.dilution):
            raise ValueError(why)
        return water

    question = f"Water that you measured, in mL (for {medicine.dilution.short}: {wanted})"
    return answered(desk, question, given, check)


@dataclass(frozen=True, slots=True)
class _Keeps:
    """How many days the working dilution keeps, and the last day of the product, where known."""

    days: Decimal | None
    expires: date | None


def _discard_by(desk: StockDesk, now: datetime, keeps: _Keeps, given: str | None) -> datetime:
    """When it is out of date: after the days the medicine's file gives, or the day that is asked.

    Never after the product itself.
    """
    if keeps.days is not None and given is None:
        until = now + timedelta(days=float(keeps.days))
    else:
        question = "The last day on which it may be used, as on the label: 2027-06-30"
        until = end_of(answered(desk, question, given, lambda answer: _last_day(answer, now)), now)
    return until if keeps.expires is None else min(until, end_of(keeps.expires, now))


def _last_day(answer: str, now: datetime) -> date:
    try:
        found = date.fromisoformat(answer)
    except ValueError:
        raise ValueError(f"“{answer}” is not a day. Write it as in: 2027-06-30") from None
    if found < now.date():
        raise ValueError(f"{answer} is over. It is {now.date().isoformat()} today.")
    return found


def _expiry(answer: str, now: datetime) -> date | None:
    """The last day of the product; a month alone means its last day."""
    if not answer:
        return None
    if len(answer) != len("2027-06"):
        return _last_day(answer, now)
    first = _first_of_month(answer)
    return _last_day(((first + timedelta(days=31)).replace(day=1) - _ONE_DAY).isoformat(), now)


_ONE_DAY: Final = timedelta(days=1)


def _first_of_month(answer: str) -> date:
    try:
        return date.fromisoformat(f"{answer}-01")
    except ValueError:
        raise ValueError(f"“{answer}” is not a month. Write it as in: 2027-06") from None


def _read_back(batch: Batch) -> list[str]:
    product, water = decimal_text(batch.product_ml), decimal_text(batch.water_ml)
    expires = f", expires {batch.product_expires}" if batch.product_expires else ""
    return [
        f"{batch.name.capitalize()}: {batch.medicine}, {batch.strength}.",
        f"  {product} mL product and {water} mL water make {decimal_text(batch.made_ml)} mL",
        f"  good until {_end(batch)}",
        f"  product batch {batch.product_batch or 'not stated'}{expires}",
        *([f"  in {batch.pot}"] if batch.pot else []),
    ]


def _end(batch: Batch) -> str:
    """Its last moment, or its last day where that ends with the day."""
    if ends_with_day(batch.discard_by):
        return f"the end of {batch.last_day}"
    return f"{batch.discard_by:%Y-%m-%d %H:%M}"


def _for_the_pot(batch: Batch, medicine: Medicine) -> str:
    shake = ", shake before each draw" if medicine.form is Form.SUSPENSION else ""
    fictional = f" {FICTIONAL}" if batch.fictional else ""
    return (
        f"Write on the pot: {batch.name}, {batch.medicine}, {medicine.dilution.short}, "
        f"not after {day(batch.last_day)}{shake}.{fictional}"
    )
