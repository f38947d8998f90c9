"""Where the books of a pot and the check of its strength draw their lines."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.dosing.dilution import Dilution
from assistant.stock.batch import why_not_made
from assistant.stock.books import Book, about, enough_for, measured, unexplained
from assistant.stock.moves import Move, MoveKind
from tests.stock_scene import BLANK, MORNING, POT, made_up, moved

TENTH = Dilution(Decimal(1), Decimal(9))


@pytest.mark.parametrize(
    ("product", "water", "right"),
    [("1.01", "8.99", True), ("1.01005", "8.98995", False), ("1.00", "9.00", True)],
)
def test_a_strength_one_percent_off_is_the_last_that_passes(product: str, water: str, right: bool):  # noqa: FBT001 - a row of the table
    assert (why_not_made(Decimal(product), Decimal(water), TENTH) is None) is right


def test_no_water_and_little_water_are_right_where_the_dilution_says_so():
    assert why_not_made(Decimal(5), Decimal(0), Dilution(Decimal(1), Decimal(0))) is None
    assert why_not_made(Decimal(5), Decimal("0.5"), Dilution(Decimal(10), Decimal(1))) is None


def test_a_wrong_strength_is_said_in_tenths():
    found = why_not_made(Decimal(7), Decimal(45), TENTH)
    assert found is not None
    assert found.startswith("7 mL of product and 45 mL of water is 1 in 7.4, not 1 in 10. ")


@pytest.mark.parametrize(
    ("volume", "said"),
    [("9.99", "9.9 mL"), ("10", "10 mL"), ("10.97", "10 mL"), ("0.04", "0 mL"), ("-1", "0 mL")],
)
def test_a_volume_for_planning_is_never_more_than_there_is(volume: str, said: str):
    assert about(Decimal(volume)) == said


def test_nothing_was_made_before_it_was_made():
    assert Book(POT).made_ml == Book(POT).left_ml == 0


def test_half_a_millilitre_short_in_a_spilled_pot_was_spilled():
    [move] = measured(made_up(), Decimal("49.5"), replace(BLANK, kind=MoveKind.SPILLED))
    assert (move.kind, move.change_ml) == (MoveKind.SPILLED, Decimal("-0.5"))


@pytest.mark.parametrize(
    ("made", "found", "odd"),
    [("10", "9.6", None), ("10", "9.4", "-0.6"), ("200", "198.5", None), ("200", "197.9", "-2.1")],
)
def test_what_a_pot_cannot_show_is_not_called_unexplained(made: str, found: str, odd: str | None):
    # half a millilitre, or one part in a hundred of what was made, whichever is more
    book = Book(POT).after(moved(MoveKind.MADE, made))
    assert unexplained(book, Decimal(found)) == (Decimal(odd) if odd else None)


def test_without_a_priming_every_dose_that_is_there_counts():
    assert enough_for(Decimal(1), Decimal(1)) == 1
    assert enough_for(Decimal(1), Decimal(1), Decimal("0.2")) == 0


def test_a_move_has_no_note_unless_somebody_wrote_one_and_little_can_be_made():
    little = Move(MORNING, "r1", POT.batch_id, MoveKind.MADE, Decimal("0.5"))
    assert (little.note, little.dose_id) == ("", None)
