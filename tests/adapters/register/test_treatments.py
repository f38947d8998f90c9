"""Treatments and windows read back from a real register."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.conversation.entries import DoseEnd
from assistant.dosing.label import Interval
from assistant.records.due import Whose
from assistant.records.treatment import Patient, Rules
from assistant.records.wanted import Wanted
from assistant.stock.moves import Move, MoveKind

if TYPE_CHECKING:
    from tests.adapters.conftest import Book

ALL = Wanted()
WINDOW = {"earliest_days": 10, "latest_days": 14}


def said(register: SqliteRegister, wanted: Wanted) -> list[str]:
    return [one.dose_id for one in register.treatments(wanted)]


def test_every_fact_of_a_treatment_comes_back(book: Book, register: SqliteRegister):
    entry = book.treatment(
        "d1",
        ring="DEMO 12", cage="four", sex="hen", reason="roundworm",
        prescriber="a vet", holding="Aviary Lane 1", product_batch="LOT 7",
        product_expires=date(2027, 6, 30), strength_mg_per_ml=Decimal(25),
        **{"egg_days": 0, "meat_days": 28, "course_doses": 2, **WINDOW},
    )  # fmt: skip
    register.append([book.dose("d1", bird="Pepper"), entry, book.end("d1")])
    (found,) = register.treatments(ALL)

    assert found.patient == Patient("Cockatiel", Decimal(95), "Pepper", "DEMO 12", "four", "hen", 1)
    assert found.rules == Rules(0, 28, 10, 14, 2)
    assert (found.product.batch, found.product.expires) == ("LOT 7", date(2027, 6, 30))
    assert (found.product.share, found.milligrams) == (Fraction(1, 10), Fraction("1.2"))
    assert (found.keeper, found.reason, found.prescriber) == ("Demo Keeper", "roundworm", "a vet")
    assert (found.holding, found.route, found.end) == ("Aviary Lane 1", "crop", DoseEnd.GIVEN)


def test_a_dose_of_an_earlier_version_has_no_facts_made_up(book: Book, register: SqliteRegister):
    register.append([book.dose("d1"), book.end("d1")])
    (found,) = register.treatments(ALL)

    assert (found.keeper, found.route, found.milligrams) == (None, None, None)
    assert (found.rules, found.product.active) == (Rules(), None)


def test_the_batch_of_the_pot_stands_before_that_of_the_medicines_file(
    book: Book, register: SqliteRegister
):
    out = Move(
        book.at(), "r1", book.batch().batch_id, MoveKind.GIVEN, Decimal("-0.48"), dose_id="d1"
    )
    register.append([book.batch(), book.dose("d1")])
    register.append([book.treatment("d1", product_batch="OLD 1"), out])
    (found,) = register.treatments(ALL)

    assert (found.product.batch, found.product.stock_batch) == ("LOT 7", "2026-03-01-1")


@pytest.mark.parametrize(
    ("number", "expires", "recorded"),
    [
        ("", None, ("OLD 1", date(2026, 9, 30))),
        ("OLD 1", None, ("OLD 1", date(2026, 9, 30))),
        ("", date(2026, 9, 30), ("OLD 1", date(2026, 9, 30))),
        ("LOT 9", None, ("LOT 9", None)),
        ("", date(2028, 1, 31), (None, date(2028, 1, 31))),
    ],
)
def test_a_record_never_joins_the_number_of_one_bottle_with_the_date_of_another(
    book: Book,
    register: SqliteRegister,
    number: str,
    expires: date | None,
    recorded: tuple[str | None, date | None],
):
    pot = replace(book.batch(), product_batch=number, product_expires=expires)
    out = Move(book.at(), "r1", pot.batch_id, MoveKind.GIVEN, Decimal("-0.48"), dose_id="d1")
    filed = book.treatment("d1", product_batch="OLD 1", product_expires=date(2026, 9, 30))
    register.append([pot, book.dose("d1"), filed, out])
    (found,) = register.treatments(ALL)

    assert (found.product.batch, found.product.expires) == recorded


def test_ends_and_corrections_are_folded_and_shown(book: Book, register: SqliteRegister):
    register.append([book.dose("d1"), book.treatment("d1"), book.end("d1")])
    register.append([book.correction("d1"), book.end("d1", DoseEnd.SCRATCHED, 3)])
    (found,) = register.treatments(ALL)

    assert (found.patient.grams, found.end) == (Decimal(85), DoseEnd.SCRATCHED)
    assert [one.what for one in found.history] == [
        "given",
        "weight put right: 95 g to 85 g",
        "scratched",
    ]


@pytest.fixture
def season(book: Book, register: SqliteRegister) -> SqliteRegister:
    """Give a register with doses on five days, of two birds, two medicines and two rounds."""
    for day in range(5):
        at = book.at() + timedelta(days=day)
        bird = "Pepper" if day % 2 else None
        dose = replace(book.dose(f"d{day}", bird=bird), at=at, round_id=f"r{day // 3}")
        if day == 4:
            dose = replace(dose, medicine="Thistle Demo")
        cage = f"cage {day % 2}"
        register.append([dose, book.treatment(f"d{day}", cage=cage, ring=f"R{day}")])
    return register


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (Wanted(since=date(2026, 3, 3)), ["d2", "d3", "d4"]),
        (Wanted(until=date(2026, 3, 2)), ["d0", "d1"]),
        (Wanted(since=date(2026, 3, 2), until=date(2026, 3, 2)), ["d1"]),
        (Wanted(bird="Pepper"), ["d1", "d3"]),
        (Wanted(bird="R2"), ["d2"]),
        (Wanted(cage="cage 0"), ["d0", "d2", "d4"]),
        (Wanted(medicine="Thistle Demo"), ["d4"]),
        (Wanted(round_id="r1"), ["d3", "d4"]),
        (Wanted(last=2), ["d3", "d4"]),
        (Wanted(bird="Pepper", round_id="r1"), ["d3"]),
        (Wanted(bird="nobody"), []),
    ],
)
def test_only_what_is_wanted_is_read(season: SqliteRegister, wanted: Wanted, found: list[str]):
    assert said(season, wanted) == found


def test_a_bird_put_right_is_found_by_what_it_is_now(book: Book, season: SqliteRegister):
    season.append([book.correction("d1", "bird", "Pepper", "Saffron")])

    assert said(season, Wanted(bird="Saffron")) == ["d1"]
    assert said(season, Wanted(bird="Pepper")) == ["d3"]


def test_days_are_those_of_the_keepers_own_calendar(book: Book, register: SqliteRegister):
    # half an hour after midnight at +10:00 is still the day before in UTC
    night = datetime.fromisoformat("2026-03-05T00:30:00+10:00")
    register.append([replace(book.dose("d1"), at=night)])

    assert said(register, Wanted(since=date(2026, 3, 5))) == ["d1"]
    assert said(register, Wanted(until=date(2026, 3, 4))) == []


def test_more_treatments_than_one_helping_come_once_and_in_order(
    book: Book, register: SqliteRegister
):
    names = [f"d{number}" for number in range(1203)]
    register.append([book.dose(name) for name in names])
    register.append([book.end(name) for name in names])

    assert said(register, ALL) == names
    assert {one.end for one in register.treatments(ALL)} == {DoseEnd.GIVEN}


def test_windows_come_from_doses_that_count(book: Book, register: SqliteRegister):
    for number, end in enumerate(DoseEnd):
        name = f"d{number}"
        register.append([book.dose(name), book.treatment(name, cage="four", **WINDOW)])
        register.append([book.end(name, end)])
    found = register.given_since(date(2026, 3, 1), {})

    assert len(found) == 3
    assert {one.whose for one in found} == {Whose("Cockatiel", cage="four")}
    assert (found[0].on, found[0].earliest_days) == (date(2026, 3, 1), 10)
    assert register.given_since(date(2026, 3, 2), {}) == ()


def test_a_bird_put_right_has_the_window_and_a_scratched_dose_none(
    book: Book, register: SqliteRegister
):
    register.append([book.dose("d1", bird="Pepper"), book.treatment("d1", **WINDOW)])
    register.append([book.end("d1"), book.correction("d1", "bird", "Pepper", "Saffron")])
    (found,) = register.given_since(date(2026, 3, 1), {})
    assert found.whose == Whose("Cockatiel", bird="Saffron")

    register.append([book.end("d1", DoseEnd.SCRATCHED, 9)])
    assert register.given_since(date(2026, 3, 1), {}) == ()


def test_a_dose_of_an_earlier_version_takes_the_window_of_the_medicines_file(
    book: Book, register: SqliteRegister
):
    register.append([book.dose("d1"), book.end("d1")])
    register.append([book.dose("d2"), book.treatment("d2"), book.end("d2")])
    found = register.given_since(date(2026, 3, 1), {"Marigold Demo": Interval(3, 5)})

    # d2 was recorded with no window at all, and keeps it that way
    assert [(one.dose_id, one.earliest_days, one.latest_days) for one in found] == [("d1", 3, 5)]


def test_treatments_are_read_from_a_register_that_cannot_be_written(
    book: Book, register: SqliteRegister, tmp_path: Path
):
    register.append([book.dose("d1"), book.treatment("d1", **WINDOW), book.end("d1")])
    register.close()
    folder = tmp_path / "fixed"
    folder.mkdir()
    copied = Path(shutil.copy(register.path, folder))
    copied.chmod(0o400)
    folder.chmod(0o500)
    before = copied.read_bytes()

    with SqliteRegister(copied) as fixed:
        assert said(fixed, ALL) == ["d1"]
        assert len(fixed.given_since(date(2026, 3, 1), {})) == 1
    assert (copied.read_bytes(), list(folder.iterdir())) == (before, [copied])


def test_droppings_come_back_as_they_were_written(book: Book, register: SqliteRegister):
    register.append([book.droppings(), book.droppings("a few eggs", 1)])

    assert register.droppings() == (book.droppings(), book.droppings("a few eggs", 1))
    assert register.droppings(last=1) == (book.droppings("a few eggs", 1),)
