"""The record of treatments, what is due and droppings, as commands."""

from __future__ import annotations

import csv
import io
import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from tests.records_scene import Done, make_round, run


@pytest.fixture
def kept(home: Path) -> Path:
    """Give a home in whose register a round of three birds stands."""
    make_round(home)
    return home


def rows(done: Done) -> list[dict[str, str]]:
    assert done.returncode == 0, done.stderr
    return list(csv.DictReader(io.StringIO(done.stdout)))


def test_a_record_holds_what_an_inspector_asks_for(kept: Path):
    # Regulation (EU) 2019/6, article 108 (2), and UK SI 2013/2033, regulations 17 to 19: date,
    # product, quantity, animal, withdrawal period, route, prescriber; what is not known is empty
    first, pepper, galah = rows(run("records", "--csv", home=kept))
    assert first["at"].startswith(str(date.today().year))  # noqa: DTZ011 - the keeper's own day
    assert (first["medicine"], first["active"]) == ("Marigold Demo", "demosol (invented)")
    assert (first["volume_ml"], first["mg"], first["mg_per_kg"]) == ("0.47", "1.175", "12.3684")
    assert (first["keeper"], first["holding"]) == ("Demo Keeper", "Demo Aviary, 1 Invented Lane")
    assert (first["route"], first["reason"]) == ("mouth", "roundworm (invented)")
    assert (first["egg_days"], first["no_eggs_until"], first["prescriber"]) == ("", "", "")
    assert (pepper["bird"], pepper["ring"]) == ("Pepper", "DEMO 12")
    assert (galah["end"], galah["next_from"]) == ("not_given", "")


def test_the_same_record_is_there_as_json_lines_and_for_the_eye(kept: Path):
    lines = run("records", "--json", home=kept).stdout.splitlines()
    assert [json.loads(line)["bird"] for line in lines] == [None, "Pepper", None]
    assert json.loads(lines[0])["egg_days"] is None
    assert "Pepper" in run("records", home=kept).stdout


def test_a_byte_order_mark_comes_only_where_it_is_asked_for(kept: Path):
    assert run("records", "--csv", "--bom", home=kept).stdout.startswith("\ufeffat,")
    assert run("records", "--csv", home=kept).stdout.startswith("at,")


@pytest.mark.parametrize(
    ("options", "found"),
    [
        (["--bird", "pepper"], 1),
        (["--bird", "demo 12"], 1),
        (["--medicine", "marigold"], 3),
        (["--round", "last"], 3),
        (["--last", "1"], 1),
        (["--to", "2020-01-01"], 0),
        (["--from", "2020-01-01"], 3),
    ],
)
def test_records_can_be_chosen(kept: Path, options: list[str], found: int):
    assert len(rows(run("records", "--csv", *options, home=kept))) == found


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--bird", "Peper"], "Did you mean “Pepper”?"),
        (["--medicine", "Marygold Demo"], "Did you mean “Marigold Demo”?"),
        (["--cage", "four"], "no treatment of the cage “four”"),
        (["--round", "nine"], "no treatment of the round “nine”"),
        (["--from", "1 March"], "--from “1 March” is not a day"),
        (["--to", "2026-02-30"], "--to “2026-02-30” is not a day"),
        (["--from", "2026-03-02", "--to", "2026-03-01"], "is after --to"),
    ],
)
def test_a_choice_that_fits_nothing_is_told_with_what_to_do(
    kept: Path, options: list[str], told: str
):
    done = run("records", *options, home=kept)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert "Traceback" not in done.stderr


def test_an_empty_register_gives_a_header_and_says_so_for_the_eye(home: Path):
    run("setup", "--demo", home=home)
    assert run("records", "--csv", home=home).stdout.count("\n") == 1
    assert run("records", home=home).stdout == "No treatment.\n"
    assert "no round" in run("records", "--round", "last", home=home).stderr


def test_the_record_is_a_page_to_print_and_another_file_is_left_alone(kept: Path, tmp_path: Path):
    target = tmp_path / "record.html"
    for _ in range(2):
        done = run("records", "--round", "last", "--report", str(target), home=kept)
        assert done.stdout == f"Written: {target}, 3 treatments.\n"
    text = target.read_text("utf-8")
    assert "Not for birds whose eggs or meat people eat." in text
    assert "How often it had to ask" in text

    target.write_text("mine")
    refused = run("records", "--report", str(target), home=kept)
    assert (refused.returncode, target.read_text()) == (2, "mine")


def test_a_page_of_one_bird_tells_nothing_of_the_others(kept: Path, tmp_path: Path):
    target = tmp_path / "pepper.html"
    run("records", "--bird", "Pepper", "--report", str(target), home=kept)
    text = target.read_text("utf-8")
    assert "bird Pepper" in text
    assert "Galah" not in text
    assert "How often it had to ask" not in text


def test_a_page_in_a_folder_that_is_not_there_is_told(kept: Path, tmp_path: Path):
    done = run("records", "--report", str(tmp_path / "no" / "r.html"), home=kept)
    assert (done.returncode, "Traceback" in done.stderr) == (3, False)
    assert "cannot be written" in done.stderr


def test_a_byte_order_mark_without_csv_is_refused(kept: Path):
    done = run("records", "--bom", home=kept)
    assert (done.returncode, done.stdout) == (2, "")
    assert "Add --csv" in done.stderr


def test_what_was_given_is_due_again_in_its_window_and_a_dose_refused_is_not(kept: Path):
    assert "Nothing is due this week." in run("due", home=kept).stdout
    said = run("due", "--days", "11", home=kept).stdout
    assert [line.partition(":")[0] for line in said.splitlines()] == [
        "Cockatiel",
        "Pepper, Cockatiel",
        "Weigh each bird again first.",
        "Droppings",
    ]


def test_the_calendar_holds_every_window_and_replaces_only_its_own_file(kept: Path, tmp_path: Path):
    target = tmp_path / "due.ics"
    for _ in range(2):
        assert "3 events" in run("due", "--calendar", str(target), home=kept).stdout
    calendar: Any = Calendar.from_ical(target.read_bytes())
    events = calendar.walk("VEVENT")
    first = date.today() + timedelta(days=10)  # noqa: DTZ011 - the keeper's own day
    assert [event["DTSTART"].dt for event in events][:2] == [first, first]

    other = tmp_path / "mine.ics"
    other.write_text("BEGIN:VCALENDAR\n")
    refused = run("due", "--calendar", str(other), home=kept)
    assert (refused.returncode, other.read_text()) == (2, "BEGIN:VCALENDAR\n")
    assert "did not write it" in refused.stderr


def test_a_look_at_droppings_is_kept_and_puts_the_next_one_off(kept: Path):
    assert "no check is in" in run("due", home=kept).stdout
    said = run("droppings", "no eggs seen", "--of", "cage four", home=kept).stdout
    assert "Written: droppings of cage four, no eggs seen. Droppings: due from" in said
    assert "cage four" in run("droppings", home=kept).stdout
    assert "Droppings" not in run("due", home=kept).stdout


def test_a_home_that_is_not_there_is_told_and_not_made(home: Path):
    for command in (["records"], ["due"], ["droppings"]):
        done = run(*command, home=home)
        assert (done.returncode, "no folder" in done.stderr) == (5, True)
    assert not home.exists()
