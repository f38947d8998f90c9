"""A bird's weights over time, and the warning about a fast loss."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.records.weights import Weighing, fast_loss

START = datetime(2026, 3, 1, 9, tzinfo=timezone(timedelta(hours=10)))


def weighed(day: float, grams: str | int) -> Weighing:
    return Weighing(START + timedelta(days=day), Decimal(grams))


def test_a_tenth_lost_within_the_days_is_a_fast_loss_and_a_hair_less_is_none():
    loss = fast_loss([weighed(0, 100)], weighed(14, 90))
    assert loss is not None
    assert (loss.percent, loss.days, loss.before) == (Fraction(10), 14, weighed(0, 100))
    assert fast_loss([weighed(0, 100)], weighed(14, "90.1")) is None


@pytest.mark.parametrize(("day", "fast"), [(30, True), (31, False)])
def test_only_the_last_days_count(day: int, fast: bool):  # noqa: FBT001 - a table's column
    assert (fast_loss([weighed(0, 100)], weighed(day, 80)) is not None) is fast


def test_the_loss_is_from_the_heaviest_weighing_not_from_the_last_one():
    loss = fast_loss([weighed(0, 100), weighed(7, 94)], weighed(14, 89))
    assert loss is not None
    assert loss.percent == Fraction(11)


def test_a_slow_keeper_gets_limits_of_their_own():
    history = [weighed(0, 100)]
    assert fast_loss(history, weighed(3, 95), percent=Decimal(5), days=7) is not None
    assert fast_loss(history, weighed(3, 95)) is None


def test_a_loss_of_a_few_hours_is_one_of_a_day():
    loss = fast_loss([weighed(0, 100)], weighed(0.2, 80))
    assert loss is not None
    assert loss.days == 1


def test_nothing_is_said_of_a_first_weighing_or_of_later_ones():
    assert fast_loss([], weighed(0, 10)) is None
    assert fast_loss([weighed(0, 100), weighed(5, 200)], weighed(0, 80)) is None


@given(st.lists(st.integers(1, 900), min_size=1, max_size=9), st.integers(1, 900))
def test_a_loss_is_that_from_the_heaviest_and_never_below_the_limit(before: list[int], last: int):
    loss = fast_loss([weighed(day, grams) for day, grams in enumerate(before)], weighed(20, last))
    lost = Fraction(max(before) - last, max(before)) * 100
    assert (loss.percent if loss else None) == (lost if lost >= 10 else None)
