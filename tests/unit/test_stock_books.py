"""The books of one pot: what goes in and out of them, and what they say."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.dosing.needle import NeedleState
from assistant.stock.books import about, enough_for, measured, unexplained
from assistant.stock.moves import Drawn, MoveKind, dose_moves, drawn
from tests.dosing_scene import FINE, LARGE, NEEDLE
from tests.stock_scene import BLANK, made_up, moved


def test_what_is_left_is_what_was_made_less_what_went_out():
    book = made_up(moved(MoveKind.GIVEN, "-0.47"), moved(MoveKind.KEPT, "-0.2008"))
    assert book.left_ml == Decimal("49.3292")
    assert book.out_ml(MoveKind.GIVEN) == Decimal("0.47")
    assert book.out_ml(MoveKind.KEPT, MoveKind.SPILLED) == Decimal("0.2008")


def test_a_dry_needle_takes_the_dose_what_it_holds_and_the_rest_up_to_the_mark():
    taken = drawn(Decimal("0.47"), NEEDLE, NeedleState.DRY, FINE)
    assert taken == Drawn(Decimal("0.47"), Decimal("0.2008"), Decimal("0.0092"))
    assert taken.all_ml == Decimal("0.68"), "the mark that the reply says to draw to"


def test_a_full_needle_takes_the_dose_alone():
    assert drawn(Decimal("0.47"), NEEDLE, NeedleState.FULL, FINE) == Drawn(Decimal("0.47"))


def test_a_coarse_syringe_wastes_more_at_the_priming():
    taken = drawn(Decimal("4.5"), NEEDLE, NeedleState.RINSED, LARGE)
    assert (taken.kept_ml, taken.surplus_ml) == (Decimal("0.2008"), Decimal("0.2992"))


def test_each_priming_is_a_loss_and_each_bird_is_not():
    primed = drawn(Decimal("0.47"), NEEDLE, NeedleState.DRY, FINE)
    full = drawn(Decimal("0.3"), NEEDLE, NeedleState.FULL, FINE)
    moves = [*dose_moves(BLANK, primed), *dose_moves(BLANK, full), *dose_moves(BLANK, full)]
    book = made_up(*moves)
    assert book.out_ml(MoveKind.KEPT) == NEEDLE.dead_ml
    assert [move.kind for move in moves].count(MoveKind.GIVEN) == 3
    assert book.left_ml == 50 - Decimal("0.68") - Decimal("0.6")


def test_measuring_writes_the_difference_and_agreeing_writes_nothing():
    book = made_up()
    blank = replace(BLANK, kind=MoveKind.MEASURED)
    (move,) = measured(book, Decimal(48), blank)
    assert (move.kind, move.change_ml) == (MoveKind.MEASURED, Decimal(-2))
    assert book.after(move).left_ml == 48
    assert measured(book, Decimal(50), blank) == ()


@pytest.mark.parametrize(("found", "kind"), [("30", MoveKind.SPILLED), ("51", MoveKind.MEASURED)])
def test_a_spill_loses_what_is_missing_and_never_finds_more(found: str, kind: MoveKind):
    blank = replace(BLANK, kind=MoveKind.SPILLED)
    (move,) = measured(made_up(), Decimal(found), blank)
    assert move.kind is kind


@pytest.mark.parametrize(
    ("found", "difference"),
    [("50", None), ("49.5", None), ("50.5", None), ("49.4", "-0.6"), ("53", "3")],
)
def test_only_a_difference_that_no_reading_explains_is_called_so(
    found: str, difference: str | None
):
    expected = None if difference is None else Decimal(difference)
    assert unexplained(made_up(), Decimal(found)) == expected


@pytest.mark.parametrize(
    ("left", "mean", "priming", "birds"),
    [
        ("14", "0.7", "0", 20), ("14.69", "0.7", "0", 20), ("0.69", "0.7", "0", 0),
        ("1", "0.4", "0.2", 2), ("0.2", "0.1", "0.2", 0), ("-1", "0.4", "0", 0), ("5", "0", "0", 0),
    ],
)  # fmt: skip
def test_it_is_never_enough_for_a_part_of_a_bird(left: str, mean: str, priming: str, birds: int):
    assert enough_for(Decimal(left), Decimal(mean), Decimal(priming)) == birds


@pytest.mark.parametrize(
    ("volume", "said"),
    [("14.99", "14 mL"), ("10", "10 mL"), ("9.99", "9.9 mL"), ("0.04", "0 mL"), ("-0.3", "0 mL")],
)
def test_a_volume_for_planning_is_never_rounded_up(volume: str, said: str):
    assert about(Decimal(volume)) == said


@pytest.mark.parametrize(
    ("kind", "change"),
    [
        *((kind, "0.1") for kind in ("kept", "surplus", "spilled", "thrown")),
        *(("made", "0"), ("made", "-1"), ("given", "NaN"), ("measured", "Infinity")),
    ],
)
def test_a_move_that_no_pot_can_make_is_refused(kind: str, change: str):
    with pytest.raises(ValueError, match=r"mL|goes out|more than nothing"):
        moved(MoveKind(kind), change)


def test_a_move_of_another_batch_is_no_move_of_this_one():
    stray = replace(BLANK, batch_id="2026-03-01-2")
    with pytest.raises(ValueError, match="2026-03-01-2"):
        made_up(stray)
