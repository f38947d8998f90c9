"""Stock kept by text: asked, read back, written; and nothing written without a yes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.adapters.paper.export import csv_lines, json_lines
from assistant.adapters.paper.stock_sheets import sheet_of_books, sheet_of_moves, state_of
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.terminal.stock_desk import StockDesk, volume
from assistant.adapters.terminal.stock_keeping import measure, out_of_date, throw
from assistant.adapters.terminal.stock_making import Making, make
from assistant.errors import DataProblem, UsageProblem
from assistant.stock.moves import MoveKind
from tests.adapters.conftest import MORNING, Piped, StoppedClock
from tests.talk_scene import demo_holding

Table = Callable[..., StockDesk]
ALL = Making("marigold", "5", "45 mL", product_batch="LOT 7", expires="2027-06", pot="blue jar")


@pytest.fixture
def table(register: SqliteRegister) -> Table:
    """Give a maker of desks with a keeper who gives these answers."""

    def desk(*answers: str, sure: bool = False) -> StockDesk:
        return StockDesk(demo_holding(), Piped(list(answers)), register, StoppedClock(), sure)

    return desk


def said(desk: StockDesk) -> str:
    assert isinstance(desk.prompter, Piped)
    return desk.prompter.heard


def test_a_batch_is_asked_for_read_back_and_written(table: Table, register: SqliteRegister):
    desk = table("", "5 mL", "45", "LOT 7", "2027-06", "blue jar", "yes")
    book = make(desk, Making())
    assert book is not None
    assert register.books() == (book,)
    batch = book.batch
    assert (batch.batch_id, batch.medicine, batch.pot) == (
        "2026-03-01-1",
        "Marigold Demo",
        "blue jar",
    )
    assert (batch.product_batch, str(batch.product_expires)) == ("LOT 7", "2027-06-30")
    assert batch.discard_by == MORNING + timedelta(days=2)
    assert "5 mL product and 45 mL water make 50 mL" in said(desk)
    assert "Write on the pot: batch 1, Marigold Demo, 1 in 10, not after 3 March" in said(desk)


def test_without_a_yes_nothing_is_written(table: Table, register: SqliteRegister):
    assert make(table("no"), ALL) is None
    with pytest.raises(UsageProblem, match="input ended"):
        make(table("", "5"), Making())
    assert register.books() == ()


def test_the_wrong_water_is_asked_for_again(table: Table):
    desk = table("50", "45", "yes")
    book = make(desk, replace(ALL, water=None))
    assert "is 1 in 11, not 1 in 10" in said(desk)
    assert book is not None
    assert book.made_ml == 50


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"medicine": "aspirin"}, "There is no medicine “aspirin”"),
        ({"product": "five"}, "“five” is not a volume"),
        ({"product": "0"}, "zero is not an amount"),
        ({"product": "5 g"}, "the unit is of another kind"),
        ({"product": "-5"}, "it is below zero"),
        ({"water": "40"}, "is 1 in 9, not 1 in 10"),
        ({"expires": "2026-02"}, "2026-02-28 is over"),
        ({"expires": "June"}, "“June” is not a day"),
        ({"expires": "2026-13"}, "“2026-13” is not a month"),
        ({"discard": "2026-02-29"}, "“2026-02-29” is not a day"),
    ],
)
def test_what_was_given_and_will_not_do_is_refused_and_nothing_written(
    table: Table, register: SqliteRegister, changes: dict[str, str], problem: str
):
    with pytest.raises(UsageProblem, match=problem):
        make(table(sure=True), replace(ALL, **changes))
    assert register.books() == ()


def test_a_batch_is_never_good_for_longer_than_its_product(table: Table):
    desk = table(sure=True)
    book = make(desk, replace(ALL, expires="2026-03-01"))
    assert "good until the end of 2026-03-01" in said(desk)
    assert "not after 1 March" in said(desk)
    assert book is not None
    assert book.batch.discard_by.isoformat() == "2026-03-02T00:00:00+10:00"


def thistle(*answers: str) -> tuple[str, ...]:
    """The answers for a pot of the demo's second medicine, whose file names its bottle."""
    return ("thistle", "2", "8", *answers, "jar", "yes")


@pytest.mark.parametrize(
    ("answers", "bottle"),
    [
        (("", ""), ("DEMO 7", "2090-06-30")),
        (("", "2030-05"), ("DEMO 7", "2030-05-31")),
        (("DEMO 8", ""), ("DEMO 8", None)),
        (("DEMO 8", "2031-01"), ("DEMO 8", "2031-01-31")),
    ],
)
def test_enter_takes_the_bottle_that_the_medicines_file_names_and_no_part_of_another(
    table: Table, answers: tuple[str, str], bottle: tuple[str, str | None]
):
    book = make(table(*thistle(*answers)), Making())
    assert book is not None
    expires = book.batch.product_expires
    assert (book.batch.product_batch, expires and expires.isoformat()) == bottle


def test_a_batch_is_never_good_for_longer_than_the_bottle_in_the_file(table: Table):
    medicine = demo_holding().medicines[1]
    for_record = replace(medicine.record, product_expires=MORNING.date())
    desk = table(sure=True)
    desk = replace(
        desk, holding=replace(desk.holding, medicines=(replace(medicine, record=for_record),))
    )
    said_nothing = Making("thistle", "2", "8", product_batch="", expires="", pot="")
    book = make(desk, said_nothing)
    assert book is not None
    assert book.batch.discard_by.isoformat() == "2026-03-02T00:00:00+10:00"

    past = replace(for_record, product_expires=MORNING.date() - timedelta(days=1))
    over = replace(desk.holding, medicines=(replace(medicine, record=past),))
    with pytest.raises(UsageProblem, match="2026-02-28 is over"):
        make(replace(desk, holding=over), said_nothing)


def test_a_medicine_that_is_not_confirmed_is_not_made_up(table: Table):
    desk = table(sure=True)
    bare = replace(demo_holding().medicines[0], confirmation=None)
    desk = replace(desk, holding=replace(desk.holding, medicines=(bare,)))
    with pytest.raises(DataProblem, match="not confirmed"):
        make(desk, ALL)


def test_measuring_reports_a_loss_of_one_millilitre(table: Table, register: SqliteRegister):
    make(table(sure=True), ALL)
    desk = table("yes")
    book = measure(desk, None, "49")
    assert "50 mL by the books, 49 mL measured: 1 mL less." in said(desk)
    assert "more than reading a pot explains" in said(desk)
    assert register.books() == (book,)
    assert register.moves()[-1].change_ml == -1


def test_no_pot_holds_more_than_was_made(table: Table, register: SqliteRegister):
    made = make(table(sure=True), ALL)
    with pytest.raises(UsageProblem, match=r"500 mL is more than the 50 mL that were made"):
        measure(table(sure=True), "1", "500")
    desk = table("500", "30", "yes")
    measured_after_all = measure(desk, "1", None)
    assert "Measure it again" in said(desk)
    assert made is not None
    assert measured_after_all is not None
    assert (measured_after_all.left_ml, len(register.moves())) == (Decimal(30), 2)


def test_measuring_what_the_books_say_writes_nothing(table: Table, register: SqliteRegister):
    make(table(sure=True), ALL)
    desk = table(sure=True)
    measure(desk, "1", "50 mL")
    assert "they agree" in said(desk)
    assert len(register.moves()) == 1


def test_what_is_thrown_away_is_all_or_some(table: Table, register: SqliteRegister):
    make(table(sure=True), ALL)
    throw(table(sure=True), "1", "5 mL")
    throw(table(sure=True), None, None)
    changes = [(move.kind, str(move.change_ml)) for move in register.moves()][1:]
    assert changes == [(MoveKind.THROWN, "-5"), (MoveKind.THROWN, "-45")]
    with pytest.raises(UsageProblem, match="0 mL is left of batch 1"):
        throw(table(sure=True), "1", None)


def test_more_than_there_is_cannot_be_thrown_away(table: Table):
    make(table(sure=True), ALL)
    with pytest.raises(UsageProblem, match="50 mL is left of batch 1"):
        throw(table(sure=True), "1", "51")


@pytest.mark.parametrize("number", ["2", "two", "", "batch 2"])
def test_an_unknown_batch_is_named_with_those_there_are(table: Table, number: str):
    make(table(sure=True), ALL)
    with pytest.raises(UsageProblem, match="There is: 1"):
        measure(table(sure=True), number, "5")


def test_no_batch_at_all_says_how_to_make_one(table: Table):
    with pytest.raises(UsageProblem) as raised:
        measure(table(), None, "5")
    assert "dosewren stock make" in raised.value.remedy


def test_the_newest_of_two_batches_has_the_next_number(table: Table):
    make(table(sure=True), ALL)
    book = make(table(sure=True), ALL)
    assert book is not None
    assert book.batch.number == 2


def test_the_sheets_hold_every_volume_as_an_exact_decimal(table: Table, register: SqliteRegister):
    make(table(sure=True), ALL)
    throw(table(sure=True), None, "0.1")
    batches = sheet_of_books(register.books(), MORNING)
    (line,) = json_lines(batches)
    assert '"left_ml": "49.9", "state": "good"' in line
    _, *rows = csv_lines(sheet_of_moves(register.moves()))
    assert [row.split(",")[3:5] for row in rows] == [["made", "50"], ["thrown", "-0.1"]]


def test_a_pot_that_is_out_of_date_is_named_until_it_is_thrown_away(
    table: Table, register: SqliteRegister
):
    make(table(sure=True), ALL)
    later = MORNING + timedelta(days=2)
    assert [state_of(book, later) for book in register.books()] == ["out of date"]
    (line,) = out_of_date(register.books(), later)
    assert line.startswith("Batch 1 of Marigold Demo has been out of date since 3 March")
    throw(table(sure=True), None, None)
    assert out_of_date(register.books(), later) == []
    assert [state_of(book, MORNING) for book in register.books()] == ["empty"]


@pytest.mark.parametrize(
    ("text", "ml"), [("5", "5"), ("5 mL", "5"), ("0.05 L", "50"), (".5", "0.5"), ("5ml", "5")]
)
def test_units_never_change_a_volume(text: str, ml: str):
    assert volume(text) == Decimal(ml)


def test_nothing_left_can_be_measured(table: Table, register: SqliteRegister):
    make(table(sure=True), ALL)
    measure(table(sure=True), None, "0")
    assert [book.left_ml for book in register.books()] == [0]


def test_the_path_of_the_register_is_the_only_file_that_is_written(
    table: Table, register: SqliteRegister, tmp_path: Path
):
    make(table(sure=True), ALL)
    assert {path.name.partition(".")[0] for path in tmp_path.iterdir()} == {"register"}
    assert register.path.exists()
