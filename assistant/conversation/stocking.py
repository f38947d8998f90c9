"""What a keeper says of the stock: which batch, what is left, spilled, and what the pot holds."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.conversation.drafting import round_question
from assistant.conversation.moment import Moment, Step, ask, noted, said
from assistant.conversation.pot import left_words, moved, why_not
from assistant.conversation.sentences import ml
from assistant.conversation.state import Ask, Question, State
from assistant.dosing.days import day
from assistant.dosing.quantities import rounded_text
from assistant.language.requests import BatchSaid, VolumeSaid
from assistant.stock.batch import is_out_of_date
from assistant.stock.books import Book, measured, unexplained
from assistant.stock.moves import Move, MoveKind

MEASURE = "How much is left in the pot? Measure it, then say pot holds, and how many mL."
MEASURE_AGAIN = "Was a dose not drawn? Else measure it again."
LATER = "Then measure it later, and say pot holds, and how many mL."
NO_BATCH = "This round has no batch, so I do not know what is in the pot."
_MAKE = "Write one down on the computer: dosewren stock make."
WRITE_DOWN = "When it is made, write it down on the computer: dosewren stock make."


def about_stock(state: State, moment: Moment, request: BatchSaid | VolumeSaid) -> Step:
    """Carry out what was said of a batch or of the pot."""
    if isinstance(request, BatchSaid):
        return take_batch(state, moment, request)
    return measured_said(state, moment, request)


def take_batch(state: State, moment: Moment, wanted: BatchSaid) -> Step:
    """Take this batch for the round, or none; refused where it is not for the round."""
    if wanted.number is None:
        stock = replace(state.stock, batch_id=None, chosen=True)
        return _taken(
            replace(state, stock=stock), moment, "Without a batch: no count of the stock."
        )
    book = _numbered(state, wanted.number)
    if book is None:
        return said(state, moment, f"{_unknown(state, wanted.number)}", "no_batch")
    if why := why_not(state, book, moment.at):
        reason = "out_of_date" if is_out_of_date(book.batch, moment.at) else "other_batch"
        return said(state, moment, why, reason)
    stock = replace(state.stock, batch_id=book.batch.batch_id, chosen=True)
    after = replace(state, stock=stock)
    text = f"{book.batch.name.capitalize()}, {left_words(after, book)}"
    return noted(_taken(after, moment, text), moment, "batch", book.batch.batch_id)


def _taken(state: State, moment: Moment, text: str) -> Step:
    """Say it, and ask again what the round begins with, where that was asked."""
    question = state.asked(Ask.ROUND)
    if question is None:
        return said(state, moment, text)
    return ask(state, moment, question, f"{text} {round_question(state)}")


def _numbered(state: State, number: int) -> Book | None:
    found = [book for book in state.stock.shelf if book.batch.number == number]
    return found[-1] if found else None


def _unknown(state: State, number: int) -> str:
    numbers = [str(book.batch.number) for book in state.stock.shelf]
    there = f"There is batch {', '.join(numbers)}." if numbers else _MAKE
    return f"I know of no batch {number}. {there}"


def say_batch(state: State, moment: Moment) -> Step:
    """Which batch is in use."""
    book = state.stock.book
    if book is None:
        return said(state, moment, NO_BATCH, "no_batch")
    name, until = book.batch.name.capitalize(), day(book.batch.last_day)
    text = f"{name} of {book.batch.medicine}, good until {until}."
    return said(state, moment, f"{text} {_capital(left_words(state, book))}")


def say_left(state: State, moment: Moment) -> Step:
    """What is in the pot, and for how many more birds that is."""
    book = state.stock.book
    if book is None:
        return said(state, moment, NO_BATCH, "no_batch")
    return said(state, moment, _capital(left_words(state, book)))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def spilled(state: State, moment: Moment) -> Step:
    """The pot was spilled: what is left has to be measured.  What was asked before waits."""
    if state.stock.book is None:
        return noted(said(state, moment, NO_BATCH, "no_batch"), moment, "spilled", "")
    behind = state.question
    question = (
        behind if behind and behind.ask is Ask.MEASURED else Question(Ask.MEASURED, behind=behind)
    )
    told = replace(state, stock=replace(state.stock, spilled=True))
    return noted(ask(told, moment, question, MEASURE), moment, "spilled", _batch_id(state))


def _batch_id(state: State) -> str:
    return state.stock.batch_id or ""


def measured_said(state: State, moment: Moment, told: VolumeSaid) -> Step:
    """What the pot holds by measuring: the books are brought to it, and the difference is said."""
    book, asked = state.stock.book, state.asked(Ask.MEASURED)
    if asked is None and not told.of_pot:
        text = "Is that what the pot holds? Then say pot holds, and how many mL."
        return said(state, moment, text, "nothing_asked")
    if book is None:
        return said(state, moment, NO_BATCH, "no_batch")
    if told.ml > book.made_ml:
        text = (
            f"{ml(told.ml)} is more than the {ml(book.made_ml)} that were made. Measure it again."
        )
        return ask(state, moment, asked or Question(Ask.MEASURED, behind=state.question), text)
    kind = MoveKind.SPILLED if state.stock.spilled else MoveKind.MEASURED
    blank = Move(moment.at, moment.setting.round_id, book.batch.batch_id, kind, Decimal(0))
    moves = measured(book, told.ml, blank)
    text = f"Left in the pot: {ml(told.ml)}. {_difference(book, told.ml, moves)}"
    question = asked.behind if asked else state.question
    stock = replace(moved(state.stock, moves), spilled=False)
    after = replace(state, stock=stock, question=question)
    step, turn = said(after, moment, text)
    return step, replace(turn, entries=(*moves, *turn.entries))


def _difference(book: Book, found: Decimal, moves: tuple[Move, ...]) -> str:
    volume = rounded_text(abs(moves[0].change_ml)) if moves else "0"
    if volume == "0":
        return "The books agree."
    if moves[0].kind is MoveKind.SPILLED:
        return f"Spilled: {volume} mL."
    less = moves[0].change_ml < 0
    text = f"{volume} mL {'less' if less else 'more'} than the books said."
    if unexplained(book, found) is None:
        return text
    return f"{text} {'A spill, or a dose that was not said?' if less else MEASURE_AGAIN}"
