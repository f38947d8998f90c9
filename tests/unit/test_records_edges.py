"""A fast loss, the days of a picture and what was asked for: the last that counts and the next."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from assistant.dosing.dose_end import DoseEnd
from assistant.records.glance import ENDS, over_time
from assistant.records.treatment import Change, Correction, Ended, Patient, Treatment, folded
from assistant.records.wanted import Wanted
from assistant.records.weights import Loss, Weighing, fast_loss
from tests.stock_scene import MORNING
from tests.unit.test_records_treatment import SAID


def weighed(grams: str, days_ago: int = 0) -> Weighing:
    return Weighing(MORNING - timedelta(days=days_ago), Decimal(grams))


@pytest.mark.parametrize(
    ("before", "days_ago", "now", "fast"),
    [
        ("100", 30, "90", True),
        ("100", 31, "90", False),
        ("100", 30, "90.1", False),
        ("0", 5, "90", False),
        ("1", 5, "0.5", True),
    ],
)
def test_a_tenth_lost_within_thirty_days_is_fast(
    before: str, days_ago: int, now: str, *, fast: bool
):
    found = fast_loss([weighed(before, days_ago)], weighed(now))
    assert (found is not None) is fast


def test_the_heaviest_of_the_last_days_is_what_counts():
    heavy, light = weighed("100", 20), weighed("95", 3)
    assert fast_loss([light, heavy], weighed("88")) == Loss(heavy, weighed("88"))


def days(*wanted: int) -> Iterator[tuple[date, str, int]]:
    return ((date(2026, 3, 1) + timedelta(days=one), "k", 1) for one in wanted)


def test_thirty_one_days_are_shown_each_and_thirty_two_by_the_week():
    assert len(over_time(days(0, 30))) == 31
    assert over_time(days(0, 31))[0].label == "23 Feb"


def test_the_kinds_of_end_are_named():
    assert list(ENDS) == ["given", "part given, or not known", "not given, scratched or open"]


PIP = replace(SAID, patient=replace(SAID.patient, bird="Pip", ring="A 1", cage="2"))


@pytest.mark.parametrize(
    ("asked", "holds"),
    [
        (Wanted(), True),
        (Wanted(bird="PIP"), True),
        (Wanted(bird="a 1"), True),
        (Wanted(bird="Saffron"), False),
        (Wanted(cage="2"), True),
        (Wanted(cage="3"), False),
        (Wanted(bird="Pip", cage="3"), False),
        (Wanted(bird="Saffron", cage="2"), False),
    ],
)
def test_a_treatment_is_found_by_name_ring_or_cage(asked: Wanted, *, holds: bool):
    assert asked.holds(PIP) is holds
    assert not Wanted(bird="Pip").holds(SAID), "nobody knows which bird it was"


def test_a_batch_that_was_put_right_is_told_as_a_batch():
    found = folded(SAID, [Correction(MORNING, "product_batch", "L1", "L2")])
    assert found.history[-1].what == "batch put right: L1 to L2"


def test_a_history_is_told_in_the_order_of_time():
    later = Correction(MORNING + timedelta(minutes=9), "reason", None, "mites")
    found = folded(SAID, [later], [Ended(MORNING, DoseEnd.GIVEN)])
    assert [one.what for one in found.history] == ["given", "reason put right: not stated to mites"]


def test_nothing_is_noted_that_nobody_said_and_a_patient_is_one_bird():
    notes = (
        Change(MORNING, "given").note,
        Correction(MORNING, "reason", None, "mites").note,
        Ended(MORNING, DoseEnd.GIVEN).note,
        Treatment("d", "r", MORNING, SAID.patient, SAID.product, SAID.volume_ml).note,
    )
    assert set(notes) == {""}
    assert Patient("Galah", Decimal(330)).birds == 1


@pytest.mark.parametrize(
    ("last", "first_label"),
    [(216, "23 Feb"), (217, "Mar 2026"), (867, "Mar 2026"), (868, "2026")],
)
def test_thirty_one_weeks_or_months_are_the_most_that_are_shown(last: int, first_label: str):
    assert over_time(days(0, last))[0].label == first_label


@pytest.mark.parametrize(("last", "label"), [("2027-01-01", "Jan 2027"), ("2034-01-01", "2034")])
def test_the_first_day_of_a_month_or_a_year_is_counted_in_it(last: str, label: str):
    shown = over_time(days(0, (date.fromisoformat(last) - date(2026, 3, 1)).days))[-1]
    assert (shown.label, sum(shown.counts.values())) == (label, 1)
