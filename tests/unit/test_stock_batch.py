"""A batch: its strength, its number, and for how long and for what it may be used."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from assistant.dosing.dilution import Dilution
from assistant.stock.batch import batch_id, next_number, why_not_made, why_not_used
from tests.dosing_scene import medicine
from tests.stock_scene import MORNING, POT

ONE_IN_TEN = Dilution(Decimal(1), Decimal(9))


@pytest.mark.parametrize(("last", "number"), [(None, 1), (1, 2), (98, 99), (99, 1)])
def test_batches_are_numbered_in_turn_and_begin_again_after_99(last: int | None, number: int):
    assert next_number(last) == number


def test_a_batch_has_a_name_for_ever():
    assert batch_id(MORNING, 7) == "2026-03-01-7"
    assert POT.name == "batch 1"


def test_the_last_day_is_the_one_before_a_midnight():
    assert POT.last_day.isoformat() == "2026-03-03"
    midnight = POT.discard_by.replace(hour=0, minute=0)
    assert replace(POT, discard_by=midnight).last_day.isoformat() == "2026-03-02"


# 5 % stock to 2 %: 160 mL made up to 400 mL, that is 1 in 2.5 (laboratory continuing-education
# page, C1V1 = C2V2).  7 mL of 2 mg/mL from 10 mg/mL: 1.4 mL and 5.6 mL (derived, same formula).
@pytest.mark.parametrize(
    ("product", "water", "dilution"),
    [
        ("160", "240", Dilution(Decimal(2), Decimal(3))),
        ("1.4", "5.6", Dilution(Decimal(1), Decimal(4))),
        ("5", "45", ONE_IN_TEN),
        ("5", "45.4", ONE_IN_TEN),
        ("3", "0", Dilution(Decimal(1), Decimal(0))),
    ],
)
def test_product_and_water_in_the_right_parts_are_taken(
    product: str, water: str, dilution: Dilution
):
    assert why_not_made(Decimal(product), Decimal(water), dilution) is None


@pytest.mark.parametrize(
    ("product", "water", "said"),
    [
        ("5", "50", "5 mL of product and 50 mL of water is 1 in 11, not 1 in 10."),
        ("5", "50", "5 mL of product needs 45 mL of water."),
        ("5", "44", "is 1 in 9.8, not 1 in 10"),
        ("5", "46", "is 1 in 10.2, not 1 in 10"),
        ("5", "0", "is undiluted, not 1 in 10"),
        ("0", "45", "There has to be some product"),
        ("5", "-1", "no less than no water"),
    ],
)  # fmt: skip
def test_another_strength_is_refused_with_what_would_be_right(product: str, water: str, said: str):
    assert said in str(why_not_made(Decimal(product), Decimal(water), ONE_IN_TEN))


def test_a_batch_of_the_rounds_medicine_in_its_time_is_used():
    assert why_not_used(POT, medicine(), MORNING + timedelta(days=2, seconds=-1)) is None


@pytest.mark.parametrize(
    ("changes", "later", "said"),
    [
        ({}, 2, "Batch 1 has been out of date since 3 March: throw it away."),
        ({"name": "Thistle Demo"}, 0, "Batch 1 is Marigold Demo; this round is Thistle Demo."),
        ({"strength": "50 mg/mL"}, 0, "The doses are for 50 mg per mL, diluted 1 in 10."),
        ({"dilution": {"product": 1, "water": 4}}, 0, "The doses are for 25 mg per mL, diluted"),
    ],
)
def test_any_other_batch_is_refused(changes: dict[str, object], later: int, said: str):
    why = why_not_used(POT, medicine(**changes), MORNING + timedelta(days=later))
    assert said in str(why)


def test_the_same_strength_in_other_parts_is_another_dilution():
    coarse = replace(POT, dilution="1 part product and 8 parts water, 1 in 9")
    assert why_not_used(coarse, medicine(), MORNING) is not None
