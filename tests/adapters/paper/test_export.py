from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.paper.export import (
    csv_lines,
    json_lines,
    listing,
    sheet_of_doses,
    sheet_of_exchanges,
)
from assistant.adapters.register.rows import KeptDose
from assistant.conversation.entries import DoseEnd

if TYPE_CHECKING:
    from tests.adapters.conftest import Book


def read_csv(lines: list[str]) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO("".join(lines), newline="")))


def test_a_csv_file_has_a_header_and_ends_each_line_with_crlf(book: Book):
    lines = list(csv_lines(sheet_of_doses([KeptDose(book.dose("d1"))])))

    assert len(lines) == 2
    assert lines[0].startswith("at,round_id,dose_id,species,bird,grams,medicine,")
    assert all(line.endswith("\r\n") and line.count("\n") == 1 for line in lines)


def test_an_empty_register_still_has_its_header():
    assert len(list(csv_lines(sheet_of_doses([])))) == 1
    assert len(list(csv_lines(sheet_of_exchanges([])))) == 1
    assert list(json_lines(sheet_of_doses([]))) == []


def test_commas_quotes_and_line_ends_survive_csv(book: Book):
    heard = 'cockatiel, "Pip"\r\nninety\nfive'
    lines = list(csv_lines(sheet_of_exchanges([book.exchange(heard=heard)])))

    assert '""Pip""' in lines[1]
    assert read_csv(lines)[0]["heard"] == heard


# OWASP, "CSV Injection": the signs that a formula starts with, also in full width or after blanks
@pytest.mark.parametrize(
    "start", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", "  =", "\u00a0+"]
)
def test_a_spreadsheet_cannot_run_what_was_heard(book: Book, start: str):
    heard = f"{start}HYPERLINK(1)"
    cell = read_csv(list(csv_lines(sheet_of_exchanges([book.exchange(heard=heard)]))))[0]

    assert cell["heard"] == f"'{heard}"


def test_a_volume_has_no_trailing_zero(book: Book):
    # ISMP list of error-prone dose designations: a trailing zero is misread as ten times as much
    dose = replace(book.dose("d1"), volume_ml=Decimal("0.60"), exact_ml=Decimal("1.0"))
    sheet = sheet_of_doses([KeptDose(dose)])
    cell = read_csv(list(csv_lines(sheet)))[0]

    assert (cell["volume_ml"], cell["exact_ml"]) == ("0.6", "1")
    assert json.loads(next(json_lines(sheet)))["volume_ml"] == "0.6"
    assert " 0.6" in list(listing(sheet))[1]
    assert "0.60" not in list(listing(sheet))[1]


def test_numbers_stay_numbers_in_csv(book: Book):
    dose = replace(book.dose("d1"), grams=Decimal("95.5"), exact_ml=Decimal("1E-7"))
    cell = read_csv(list(csv_lines(sheet_of_doses([KeptDose(dose)]))))[0]

    assert (cell["grams"], cell["volume_ml"], cell["exact_ml"]) == ("95.5", "0.48", "0.0000001")
    said = read_csv(list(csv_lines(sheet_of_exchanges([book.exchange()]))))[0]
    assert said["confidence"] == "0.75"


def test_a_dose_is_exported_with_its_end(book: Book):
    kept = KeptDose(book.dose("d1"), DoseEnd.PART_GIVEN, book.at(1), "spat out")
    cell = read_csv(list(csv_lines(sheet_of_doses([kept]))))[0]

    ending = (cell["end"], cell["ended_at"], cell["note"])
    assert ending == ("part_given", "2026-03-01T08:31:00+10:00", "spat out")
    assert json.loads(next(json_lines(sheet_of_doses([kept]))))["end"] == "part_given"


def test_json_lines_hold_one_object_a_line_with_volumes_as_text(book: Book):
    doses = [KeptDose(book.dose("d1")), KeptDose(book.dose("d2", bird="Pip"))]
    lines = list(json_lines(sheet_of_doses(doses)))

    assert [line.count("\n") for line in lines] == [1, 1]
    first, second = map(json.loads, lines)
    assert (first["grams"], first["volume_ml"], first["exact_ml"]) == (95, "0.48", "0.475")
    assert (first["bird"], second["bird"]) == (None, "Pip")
    assert (first["fictional"], first["end"], first["ended_at"]) == (True, None, None)


def test_json_lines_carry_words_unchanged_and_the_request_as_an_object(book: Book):
    heard = "=Grüße\r\n\u2028🐦"
    line = next(json_lines(sheet_of_exchanges([book.exchange(heard=heard)])))

    assert json.loads(line)["heard"] == heard
    assert json.loads(line)["request"] == {"species": "Cockatiel", "grams": 95}


@pytest.mark.parametrize("request_text", ["", "{", "[1]", "[" * 100_000])
def test_a_request_that_is_no_object_stays_text(book: Book, request_text: str):
    entry = replace(book.exchange(), request=request_text)

    assert json.loads(next(json_lines(sheet_of_exchanges([entry]))))["request"] == request_text


def test_the_listing_is_aligned(book: Book):
    small = replace(book.dose("d2", 1, bird="Pip"), grams=Decimal("8.5"))
    lines = list(listing(sheet_of_doses([KeptDose(book.dose("d1")), KeptDose(small)])))

    assert lines == [
        "at                      bird  species    grams  medicine       volume_ml  end",
        "2026-03-01 08:30+10:00        Cockatiel     95  Marigold Demo       0.48",
        "2026-03-01 08:31+10:00  Pip   Cockatiel    8.5  Marigold Demo       0.48",
    ]


def test_the_listing_lets_no_control_character_reach_the_terminal(book: Book):
    heard = "\x1b[2J\x07\u202ecockatiel\n" + "x" * 500
    lines = list(listing(sheet_of_exchanges([book.exchange(heard=heard)])))

    assert len(lines) == 2
    assert "·[2J··cockatiel·xxx" in lines[1]
    assert lines[1].isprintable()
    assert len(lines[1]) < 200


def test_wide_letters_keep_the_columns_in_line(book: Book):
    said = [book.exchange(heard="오카멜"), book.exchange(heard="cockatiel")]
    lines = list(listing(sheet_of_exchanges(said)))

    # Each of the three letters takes two columns of the terminal.
    assert lines[2].index("answered") - lines[1].index("answered") == 3
