"""A pot's label, amounts on a measure, and what is due: each at its ends."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.measures import Liquid, Pump
from assistant.dosing.syringe import Syringe
from assistant.planning.birds import ListedBird, in_order
from assistant.planning.measuring import Measured, Mix
from assistant.planning.pot_label import keeping, pot_labels, strength_words
from assistant.planning.round_plan import Making
from assistant.records.due import FORGOTTEN, DueGroup, Given, Whose, look_back_days
from assistant.records.due_sentences import MOST_SAID, day_text, due_lines, due_said
from tests.dosing_scene import medicine
from tests.plan_scene import LARGE, WISHES, bird, plan
from tests.stock_scene import MORNING

TEN = Syringe(Decimal(10), Decimal("0.5"))


def filled(volume: str, goes: int, last: str) -> Measured:
    return Measured(TEN, Decimal(volume), goes, Decimal(last))


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        (filled("2.5", 1, "2.5"), "the 10 mL syringe, to 2.5 mL"),
        (filled("20", 2, "10"), "the 10 mL syringe, twice full"),
        (filled("30", 3, "10"), "the 10 mL syringe, 3 times full"),
        (filled("12.5", 2, "2.5"), "the 10 mL syringe, once full and then to 2.5 mL"),
        (filled("22.5", 3, "2.5"), "the 10 mL syringe, twice full and then to 2.5 mL"),
        (filled("32.5", 4, "2.5"), "the 10 mL syringe, 3 times full and then to 2.5 mL"),
        (Measured(Pump(Decimal(2), Liquid.WATER), Decimal(2), 1, Decimal(2)),
         "1 stroke of the pump of 2 mL a stroke"),
    ],
)  # fmt: skip
def test_an_amount_is_told_as_the_hand_does_it(amount: Measured, said: str):
    assert amount.said == said


def test_a_syringe_filled_twice_errs_twice():
    # ISO 7886-1:1993 table 1, from memory: 4 % of 10 mL, then 1.5 % of 10 mL and 1 % of 2.5 mL
    assert filled("12.5", 2, "2.5").error_percent == Fraction("0.575") / Fraction("12.5") * 100
    assert filled("2.5", 1, "2.5").error_percent == Fraction("0.175") / Fraction("2.5") * 100
    assert Measured(Pump(Decimal(2), Liquid.WATER), Decimal(2), 1, Decimal(2)).error_percent is None


@pytest.mark.parametrize(
    ("days", "said"),
    [
        ("0.5", "12 hours"),
        ("0.25", "6 hours"),
        ("1", "1 day"),
        ("1.5", "1.5 days"),
        ("2", "2 days"),
    ],
)
def test_a_pot_keeps_for_hours_or_days(days: str, said: str):
    assert keeping(Decimal(days)) == said


@pytest.mark.parametrize(
    ("off", "said"),
    [
        ("0", "2.5 mg of demosol in each mL"),
        ("2", "2.55 mg of demosol in each mL, 2 % stronger than meant"),
        ("-0.04", "2.499 mg of demosol in each mL, 0.1 % weaker than meant"),
        ("0.46", "2.512 mg of demosol in each mL, 0.5 % stronger than meant"),
    ],
)
def test_a_label_tells_how_strong_the_stock_really_is(off: str, said: str):
    mix = Mix(filled("5", 1, "5"), None)
    assert strength_words(medicine(), Making(1, mix, Fraction(off))) == said


def test_each_pot_has_its_label_and_all_of_them_their_product():
    made = plan(*[bird("95")] * 20, wishes=replace(WISHES, days=4), keeps_days=1)
    assert made.making is not None
    labels = pot_labels(made, MORNING)
    pots = made.making.batches
    assert [(one.number, one.of) for one in labels] == [(at, pots) for at in range(1, pots + 1)]
    assert [one.made_at - MORNING for one in labels] == [
        timedelta(at * 4 // pots) for at in range(pots)
    ]
    assert labels[0].discard_at == MORNING + timedelta(days=1)
    assert made.making.product_ml == made.making.mix.product_ml * pots


@pytest.mark.parametrize(
    ("expires", "until"),
    [
        (date(2027, 6, 30), MORNING + timedelta(days=3)),
        (MORNING.date(), MORNING.replace(hour=0, minute=0) + timedelta(days=1)),
        # a bottle that is past is not what a pot is made from
        (date(2026, 2, 28), MORNING + timedelta(days=3)),
    ],
)
def test_no_label_goes_past_the_bottle_that_the_file_names(expires: date, until: datetime):
    made = plan(bird("95"), keeps_days=3, product_expires=expires)
    (label,) = pot_labels(made, MORNING)
    assert label.discard_at == until


def test_a_listed_bird_has_only_what_was_listed():
    plain = ListedBird(LARGE, None)
    assert (plain.called, plain.said, plain.sex) == ("", LARGE.spoken, "")
    ringed = ListedBird(LARGE, None, name="Pip", ring="A 1", cage="2")
    assert (plain.name, plain.ring, plain.cage) == ("", "", "")
    assert ringed.called == "Pip, ring A 1"
    assert ringed.said == f"2, Pip, ring A 1, {LARGE.spoken}"


def test_two_doses_of_one_bird_have_one_key_wherever_it_sits():
    assert Whose("Galah", ring="A1").key == Whose("Galah", "2", "Pip", "a1").key == ("ring", "a1")
    assert Whose("Galah", bird="Pip").key == Whose("Galah", "2", "PIP").key == ("bird", "pip")
    assert Whose("Galah", "B").key == ("cage", "Galah", "b")
    assert Whose("Galah") == Whose("Galah", "", "", "")


def test_the_longest_course_says_how_far_to_look_back():
    assert look_back_days([(14, None)]) == FORGOTTEN * 14 + 1
    assert look_back_days([(14, None), (10, 3)]) == FORGOTTEN * 30 + 1
    assert look_back_days([]) == 0


def test_a_list_is_said_as_far_as_it_can_be_kept_in_mind():
    assert "more" not in due_said(["Pip."] * MOST_SAID)
    assert ": Pip. Kiwi. " in due_said(["Pip.", "Kiwi."])
    assert "And 1 more: " in due_said(["Pip."] * (MOST_SAID + 1))


def test_every_month_is_said_by_its_name():
    months = [day_text(date(2026, month, 3), date(2026, 1, 1)) for month in range(1, 13)]
    assert months == [f"3 {date(2026, month, 3):%B}" for month in range(1, 13)]


@pytest.mark.parametrize(("birds", "said"), [(1, "Galah: "), (2, "Galah, 2 birds: ")])
def test_birds_of_a_cage_are_counted_from_two_on(birds: int, said: str):
    group = DueGroup(
        Whose("Galah"), "Marigold Demo", MORNING.date(), MORNING.date(), birds, fictional=True
    )
    assert due_lines([group], MORNING.date())[0].startswith(said)


def test_a_dose_counts_for_one_real_bird_unless_told_otherwise():
    one = Given("d1", Whose("Galah"), "Marigold Demo", MORNING.date(), 10, 14)
    assert (one.birds, one.fictional, one.course_doses) == (1, False, None)


def test_birds_of_a_cage_stand_by_ring_where_they_have_one():
    ten = ListedBird(LARGE, Decimal(95), name="Abe", ring="10")
    nine = ListedBird(LARGE, Decimal(95), name="Zoe", ring="9")
    named = ListedBird(LARGE, Decimal(95), name="Kim")
    assert in_order((ten, named, nine)) == (nine, ten, named)
