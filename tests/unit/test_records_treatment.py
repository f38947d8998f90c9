"""A treatment folded from its rows: facts that were stated, and a history of what they were."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dose_end import DoseEnd
from assistant.records.treatment import (
    CORRECTABLE,
    Correction,
    Ended,
    Patient,
    Product,
    Rules,
    Treatment,
    folded,
)

MORNING = datetime(2026, 3, 1, 8, 30, tzinfo=timezone(timedelta(hours=10)))
PRODUCT = Product(
    "Marigold Demo", "25 mg per mL, diluted 1 in 10", "1 in 10", fictional=True,
    strength_mg_per_ml=Decimal(25), share=Fraction(1, 10),
)  # fmt: skip
SAID = Treatment(
    "d1", "r1", MORNING, Patient("Cockatiel", Decimal(95)), PRODUCT, Decimal("0.48"),
)  # fmt: skip


def minute(count: int) -> datetime:
    return MORNING + timedelta(minutes=count)


def corrected(fact: str, now: str | None) -> Treatment:
    was = str(getattr(SAID.patient, fact, None))
    return folded(SAID, [Correction(minute(1), fact, was, now)])


def test_the_active_given_is_volume_times_share_times_strength():
    # 0.48 mL of 1 in 10 of 25 mg/mL is 1.2 mg; in 95 g that is 12.63 mg per kg
    assert SAID.milligrams == Fraction("1.2")
    assert SAID.mg_per_kg == Fraction(1200, 95)


def test_without_a_strength_no_milligrams_are_made_up():
    nameless = replace(SAID, product=replace(PRODUCT, strength_mg_per_ml=None))
    assert (nameless.milligrams, nameless.mg_per_kg) == (None, None)


def test_the_last_end_stands_and_the_history_keeps_them_all():
    ends = [Ended(minute(1), DoseEnd.GIVEN), Ended(minute(2), DoseEnd.SCRATCHED, "wrong bird")]
    treatment = folded(SAID, ends=ends)
    assert (treatment.end, treatment.counts) == (DoseEnd.SCRATCHED, False)
    history = [(change.what, change.note) for change in treatment.history]
    assert history == [("given", ""), ("scratched", "wrong bird")]


@pytest.mark.parametrize(
    ("note", "told"),
    [("part_given", ""), ("got_away", "got away"), ("in place of r_1-2", "in place of r_1-2")],
)
def test_a_note_is_told_only_where_it_says_more_than_the_end(note: str, told: str):
    treatment = folded(SAID, ends=[Ended(minute(1), DoseEnd.PART_GIVEN, note)])
    assert (treatment.note, treatment.history[0].note) == (told, told)


@pytest.mark.parametrize(
    ("end", "counts"),
    [
        (DoseEnd.GIVEN, True),
        (DoseEnd.PART_GIVEN, True),
        (DoseEnd.NOT_KNOWN, True),
        (DoseEnd.NOT_GIVEN, False),
        (DoseEnd.SCRATCHED, False),
    ],
)
def test_what_may_have_gone_in_counts_and_its_time_is_that_of_the_end(
    end: DoseEnd,
    counts: bool,  # noqa: FBT001 - a table's column
):
    treatment = folded(SAID, ends=[Ended(minute(5), end)])
    assert treatment.counts is counts
    assert treatment.at == (minute(5) if counts else MORNING)


def test_a_dose_without_an_end_does_not_count():
    assert not SAID.counts


def test_a_weight_put_right_changes_the_weight_and_leaves_the_volume():
    treatment = corrected("grams", "85")
    assert (treatment.patient.grams, treatment.volume_ml) == (Decimal(85), Decimal("0.48"))
    assert treatment.history[0].what == "weight put right: 95 g to 85 g"


def test_the_last_of_two_corrections_stands():
    both = [
        Correction(minute(1), "bird", None, "Pepper"),
        Correction(minute(2), "bird", "Pepper", "Salt", "looked at the ring"),
    ]
    treatment = folded(SAID, both)
    assert treatment.patient.bird == "Salt"
    assert [one.what for one in treatment.history] == [
        "bird put right: not stated to Pepper",
        "bird put right: Pepper to Salt",
    ]


@pytest.mark.parametrize("fact", sorted(set(CORRECTABLE) - {"grams", "reason", "product_batch"}))
def test_every_fact_of_the_patient_can_be_put_right(fact: str):
    assert getattr(corrected(fact, "another").patient, fact) == "another"


def test_reason_and_batch_can_be_put_right_and_be_taken_back():
    assert corrected("reason", "roundworm").reason == "roundworm"
    assert corrected("product_batch", "B7").product.batch == "B7"
    assert corrected("product_batch", None).product.batch is None


@pytest.mark.parametrize(("fact", "now"), [("species", None), ("grams", None), ("colour", "red")])
def test_a_correction_that_means_nothing_leaves_the_facts(fact: str, now: str | None):
    assert replace(corrected(fact, now), history=()) == SAID


def test_a_withdrawal_period_runs_from_the_last_administration_to_its_last_day():
    # Regulation (EU) 2019/6, article 4 (34): from the last administration to the foodstuff; the
    # day on which it runs out is not free, since it ends at the hour of the dose
    ends = [Ended(datetime(2026, 3, 2, 9, 0, tzinfo=MORNING.tzinfo), DoseEnd.GIVEN)]
    treatment = replace(folded(SAID, ends=ends), rules=Rules(egg_days=7, meat_days=28))
    assert treatment.no_eggs_until == date(2026, 3, 9)
    assert treatment.no_meat_until == date(2026, 3, 30)


def test_a_period_of_zero_days_is_stated_and_an_unknown_one_has_no_end():
    # the same Regulation, article 108 (2): the period is recorded even if it is zero
    assert replace(SAID, rules=Rules(egg_days=0)).no_eggs_until == date(2026, 3, 1)
    assert replace(SAID, rules=Rules(egg_days=0)).no_meat_until is None
