"""What a medicine's file says for the record of a treatment, beside the figures of its dose."""

from __future__ import annotations

from datetime import date

import pytest

from assistant.adapters.terminal.read_back import read_back
from assistant.dosing.for_record import NOT_EATEN, ForRecord
from assistant.dosing.label import Interval
from assistant.dosing.medicine import read_medicine
from assistant.dosing.tables import FigureProblems
from tests.talk_scene import demo_holding

TABLE: dict[str, object] = {
    "name": "Test mix",
    "active": "testium",
    "dose": "1 mL/kg",
    "dilution": "1 + 9",
    "form": "solution",
    "route": "Crop",
    "source": "a test",
}


def problems_of(**keys: object) -> list[str]:
    with pytest.raises(FigureProblems) as caught:
        read_medicine({**TABLE, **keys}, "medicines.toml")
    return [one.what for one in caught.value.problems]


def test_what_the_file_states_is_read_and_what_it_leaves_out_is_not_made_up():
    medicine = read_medicine(
        {
            **TABLE,
            "reason": "roundworm", "prescribed_by": "a vet", "product_batch": "LOT 7",
            "product_expires": "2027-06-30", "withdrawal_eggs_days": 0,
        },
        "medicines.toml",
    )  # fmt: skip
    assert medicine.record == ForRecord("roundworm", "a vet", "LOT 7", date(2027, 6, 30), 0, None)
    assert medicine.route == "crop"
    assert read_medicine(TABLE, "medicines.toml").record == ForRecord()


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("product_expires", "June 2027", "not a date"),
        ("withdrawal_eggs_days", -1, "not a number zero or above"),
        ("withdrawal_meat_days", 2.5, "not a number of whole days"),
        ("withdrawal_meat_days", 4000, "not a number of whole days"),
        ("withdrawal_eggs_days", "none", "not a number zero or above"),
        ("reason", "", "not a text"),
        ("course_doses", 0, "not a number above zero"),
        ("course_doses", 2, "is missing"),
    ],
)
def test_a_wrong_value_is_told_with_its_key(key: str, value: object, told: str):
    assert any(told in one for one in problems_of(**{key: value}))


def test_a_course_goes_with_its_window():
    medicine = read_medicine(
        {**TABLE, "next_dose_days": [10, 14], "course_doses": 2}, "medicines.toml"
    )
    assert medicine.interval == Interval(10, 14, 2)
    assert "A course is 2 doses." in " ".join(read_back(medicine))


def test_a_withdrawal_period_is_a_figure_to_confirm_and_a_bottles_batch_is_not():
    plain = read_medicine(TABLE, "medicines.toml").figures
    with_batch = {**TABLE, "product_batch": "LOT 8", "reason": "another"}
    assert read_medicine(with_batch, "medicines.toml").figures == plain
    for key in ("withdrawal_eggs_days", "withdrawal_meat_days"):
        assert read_medicine({**TABLE, key: 0}, "medicines.toml").figures != plain


def test_the_confirmation_reads_the_periods_back():
    marigold, thistle = demo_holding().medicines
    assert NOT_EATEN in " ".join(read_back(marigold))
    said = " ".join(read_back(thistle))
    assert "Eggs: not to be eaten for 7 days after a dose." in said
    assert NOT_EATEN not in said
    assert "Next dose: after 1 day. A course is 3 doses." in said
    zero = read_medicine(
        {**TABLE, "withdrawal_eggs_days": 0, "withdrawal_meat_days": 0}, "medicines.toml"
    )
    assert "Eggs: no withdrawal period. Meat: no withdrawal period." in read_back(zero)


@pytest.mark.parametrize(
    ("eggs", "meat", "eaten"), [(0, 0, True), (7, 28, True), (None, 0, False), (0, None, False)]
)
def test_a_bird_may_be_eaten_only_where_both_periods_are_stated(
    eggs: int | None,
    meat: int | None,
    eaten: bool,  # noqa: FBT001 - a row of the table
):
    assert ForRecord(egg_days=eggs, meat_days=meat).may_be_eaten is eaten
