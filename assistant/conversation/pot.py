"""The pot of a round: which batch is in use, what each dose takes from it, and what to warn of.

Every end of a dose becomes moves of stock, in the same breath as its own row:

    given, part given, not known ── the dose went from the syringe towards the bird: given
    not given, got away ─────────── what was drawn is never poured back: lost
    scratched while it was open ─── taken as never drawn
    scratched afterwards ────────── the dose comes back into the books; the needle stays primed

A priming is taken off with the dose that it was done for.  What was drawn otherwise than it was
said shows when the pot is measured.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from assistant.conversation.entries import IN_PLACE_OF, DoseEnd, DoseEndEntry, DoseEntry
from assistant.conversation.moment import Moment, Step
from assistant.conversation.state import State, Stock, Taken
from assistant.conversation.turn import Reply
from assistant.dosing.needle import NeedleState
from assistant.stock.batch import is_out_of_date, why_not_used
from assistant.stock.books import Book, about, enough_for
from assistant.stock.moves import Drawn, Move, MoveKind, dose_moves, drawn

LOW_BIRDS = 5
"""From fewer birds than this on the stock is low: time to make up more before the pot is empty."""

NEVER_BACK = "What was drawn counts as lost: never pour it back."

_TAKEN_AS = {
    DoseEnd.GIVEN: MoveKind.GIVEN,
    DoseEnd.PART_GIVEN: MoveKind.GIVEN,
    DoseEnd.NOT_KNOWN: MoveKind.GIVEN,
    DoseEnd.NOT_GIVEN: MoveKind.LOST,
}


def stocked(state: State, shelf: tuple[Book, ...], at: datetime) -> State:
    """The state with the last batches, the newest last, as the register has them now."""
    return offered(replace(state, stock=replace(state.stock, shelf=shelf)), at)


def offered(state: State, at: datetime) -> State:
    """The state with the batch that a round of its medicine may begin with: the newest good one.

    A batch in use stays in use, and so does none.
    """
    stock = state.stock
    if state.begun or not stock.shelf:
        keeps = stock.book is None or _is_of_medicine(state, stock.book)
        return state if keeps else replace(state, stock=replace(stock, batch_id=None))
    if stock.chosen and (stock.book is None or _is_good(state, stock.book, at)):
        return state
    good = [book for book in stock.shelf if _is_good(state, book, at)]
    batch_id = good[-1].batch.batch_id if good else None
    found = replace(state, stock=replace(stock, batch_id=batch_id, chosen=False))
    return replace(found, stock=replace(found.stock, old=_old_pot(found, at)))


def _is_of_medicine(state: State, book: Book) -> bool:
    return state.medicine is not None and book.batch.medicine == state.medicine.name


def _is_good(state: State, book: Book, at: datetime) -> bool:
    return why_not(state, book, at) is None


def why_not(state: State, book: Book, at: datetime) -> str | None:
    """Why this batch is not for the round, or None where it is."""
    if state.medicine is None:
        return "Say the medicine first."
    if book.left_ml <= 0 and not is_out_of_date(book.batch, at):
        return f"{book.batch.name.capitalize()} is empty by the books."
    return why_not_used(book.batch, state.medicine, at)


def batch_words(state: State) -> str:
    """The batch on offer or in use, for the question that a round begins with; empty for none.

    Where there is only one that is out of date, that is said, until the round is begun.
    """
    book = state.stock.book
    if book is None:
        return "" if state.begun else state.stock.old
    return f" {book.batch.name.capitalize()}, about {about(book.left_ml)} left."


def stale(state: State, at: datetime) -> str | None:
    """Why no dose is said from the batch in use, or None where one may be."""
    book = state.stock.book
    if book is None or not is_out_of_date(book.batch, at):
        return None
    why = why_not(state, book, at)
    return f"{why} Then say batch and its number, or without a batch."


def _old_pot(state: State, at: datetime) -> str:
    """A warning of a pot of this medicine that is out of date, where no good one is there."""
    if state.stock.book is not None:
        return ""
    old = [
        book
        for book in state.stock.shelf
        if _is_of_medicine(state, book) and book.left_ml > 0 and is_out_of_date(book.batch, at)
    ]
    return f" {why_not(state, old[-1], at)}" if old else ""


def booked(before: State, step: Step, moment: Moment) -> Step:
    """The step with the moves of stock that its ends of doses make, and what to warn of."""
    after, turn = step
    if moment.setting.one_shot:
        return step
    ends = [entry for entry in turn.entries if isinstance(entry, DoseEndEntry)]
    for end in ends:
        after, moves = _ended(before, after, end)
        turn = replace(turn, entries=(*turn.entries, *moves))
    after = offered(after, moment.at)
    lost = NEVER_BACK if after.stock.book and _were_lost(ends) else ""
    told, warning = _warning(after) if ends and turn.facts.dose is None else (after, "")
    if extra := " ".join(filter(None, (lost, warning))):
        reply = Reply(f"{turn.reply.said} {extra}", f"{turn.reply.for_eye}\n{extra}")
        turn, told = replace(turn, reply=reply), replace(told, repeatable=reply)
    return told, turn


def _were_lost(ends: list[DoseEndEntry]) -> bool:
    return any(end.end is DoseEnd.NOT_GIVEN for end in ends)


def _ended(before: State, after: State, end: DoseEndEntry) -> tuple[State, tuple[Move, ...]]:
    """The state with the moves that the end of a dose makes, and the moves."""
    had = before.stock.taken.get(end.dose_id)
    if end.note.startswith(IN_PLACE_OF):
        return _in_place_of(before, after, end)
    kind = _TAKEN_AS.get(end.end)
    if had is not None:
        moves = tuple(_changed(had, kind, end))
        taken = None if kind is None else replace(had, kind=kind)
    else:
        moves, taken = _first(before, kind, end)
    return replace(after, stock=_with(after.stock, end.dose_id, taken, moves)), moves


def _in_place_of(before: State, after: State, end: DoseEndEntry) -> tuple[State, tuple[Move, ...]]:
    """The dose of another bird, which came back into the books, out again for this one."""
    had = before.stock.taken.get(end.note.removeprefix(IN_PLACE_OF))
    if had is None:
        return after, ()
    moves = (replace(_move(end, had.batch_id, had.kind), change_ml=-had.volume_ml),)
    return replace(after, stock=_with(after.stock, end.dose_id, had, moves)), moves


def _first(
    before: State, kind: MoveKind | None, end: DoseEndEntry
) -> tuple[tuple[Move, ...], Taken | None]:
    """What the first end of a dose takes; nothing without a batch, nor for one that was void."""
    entry, batch_id = before.pending, before.stock.batch_id
    if entry is None or entry.dose_id != end.dose_id or kind is None or batch_id is None:
        return (), None
    blank = _move(end, batch_id, kind)
    return dose_moves(blank, taken_by(before, entry)), Taken(batch_id, kind, entry.volume_ml)


def taken_by(state: State, entry: DoseEntry) -> Drawn:
    """What a dose takes out of the pot, with the needle and the syringe as they are."""
    if state.syringe is None:
        return Drawn(entry.volume_ml)
    # once only paper has its end, the needle counts as filled by this very dose
    within = NeedleState(entry.needle_state) if state.on_paper else state.needle_state
    return drawn(entry.volume_ml, state.needle, within, state.syringe)


def _changed(had: Taken, kind: MoveKind | None, end: DoseEndEntry) -> Iterator[Move]:
    """The dose back into the books, and out again as what it turned out to be."""
    if kind is not had.kind:
        yield replace(_move(end, had.batch_id, had.kind), change_ml=had.volume_ml)
        if kind is not None:
            yield replace(_move(end, had.batch_id, kind), change_ml=-had.volume_ml)


def _move(end: DoseEndEntry, batch_id: str, kind: MoveKind) -> Move:
    return Move(end.at, end.round_id, batch_id, kind, Decimal(0), end.dose_id, end.end.value)


def _with(stock: Stock, dose_id: str, taken: Taken | None, moves: tuple[Move, ...]) -> Stock:
    doses = {key: one for key, one in stock.taken.items() if key != dose_id}
    if taken is not None:
        doses[dose_id] = taken
    return replace(moved(stock, moves), taken=doses)


def moved(stock: Stock, moves: tuple[Move, ...]) -> Stock:
    """The stock with these moves in its books."""
    shelf = tuple(
        book.after(*(move for move in moves if move.batch_id == book.batch.batch_id))
        for book in stock.shelf
    )
    return replace(stock, shelf=shelf)


def mean_ml(stock: Stock) -> Decimal | None:
    """The mean of the doses that this conversation took from its pots; None before the first."""
    doses = [one.volume_ml for one in stock.taken.values() if one.kind is MoveKind.GIVEN]
    return sum(doses, Decimal(0)) / len(doses) if doses else None


def birds_left(state: State, book: Book) -> int | None:
    """For how many more birds of today's mean the pot is enough; None before the first."""
    mean = mean_ml(state.stock)
    if mean is None:
        return None
    full = state.needle_state is NeedleState.FULL
    left = after_open_dose(state, book)
    return enough_for(left, mean, Decimal(0) if full else state.needle.dead_ml)


def after_open_dose(state: State, book: Book) -> Decimal:
    """What is left once the dose that is open, or that only paper has, was drawn."""
    entry = state.pending
    return book.left_ml - (taken_by(state, entry).all_ml if entry else 0)


def _warning(state: State) -> tuple[State, str]:
    """What to say once of a pot that is low, or empty by the books."""
    book = state.stock.book
    birds = None if book is None else birds_left(state, book)
    if book is None or birds is None or birds >= LOW_BIRDS:
        return state, ""
    name = book.batch.batch_id
    if book.left_ml <= 0:
        text = "By the books the pot is empty. If it is not, say pot holds, and how many mL."
        return _once(state, (name, "empty"), text)
    return _once(state, (name, "low"), f"Low: {left_words(state, book)}")


def _once(state: State, warning: tuple[str, str], text: str) -> tuple[State, str]:
    stock = state.stock
    if warning in stock.told:
        return state, ""
    return replace(state, stock=replace(stock, told=stock.told | {warning})), text


def left_words(state: State, book: Book) -> str:
    """What is left, and for how many birds: "about 14 mL; enough for about 20 more …"."""
    if after_open_dose(state, book) <= 0:
        return "empty by the books."
    left = f"about {about(after_open_dose(state, book))}"
    birds = birds_left(state, book)
    if birds is None:
        return f"{left}."
    if birds == 0:
        return f"{left}; not enough for another at today's average."
    return f"{left}; enough for about {birds} more at today's average."
