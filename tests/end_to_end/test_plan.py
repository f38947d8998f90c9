"""The real `plan` on the demo, in a process of its own."""

from __future__ import annotations

import csv
import io
import os
import shlex
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PLACE = {**os.environ, "PYTHONPATH": str(ROOT)}
DEMO = ROOT / "fixtures" / "demo" / "round.csv"


def dosewren(folder: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "assistant", *words],
        cwd=folder, env=PLACE, input=typed, capture_output=True, check=False, encoding="utf-8",
    )  # fmt: skip


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    """A folder with the demo set up in `home`."""
    assert dosewren(tmp_path, "setup", "--demo", "--home", "home").returncode == 0
    return tmp_path


def plan(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return dosewren(folder, "plan", "--home", "home", *words)


def test_words_are_planned(demo: Path):
    done = plan(demo, "thirty", "budgerigars,", "six", "galahs")
    assert done.returncode == 0, done.stderr
    head, make, *_ = done.stdout.splitlines()
    assert head == "Marigold Demo, 1 in 10: 36 birds, 36 to be weighed."
    assert make.startswith("Make up ")


def test_a_list_is_planned_with_its_pages(demo: Path):
    done = plan(demo, str(DEMO), "--sheet", "sheet.html", "--label", "label.html")
    assert done.returncode == 0, done.stderr
    assert "18 birds, 14 weighed, 2 to be weighed, 1 to look at again, 1 without" in done.stdout
    assert (demo / "sheet.html").read_text("utf-8").count('class="mark push"') == 14
    assert "1 part product and 9 parts water" in (demo / "label.html").read_text("utf-8")
    again = plan(demo, str(DEMO), "--sheet", "sheet.html")
    assert again.returncode == 0, again.stderr


def test_the_rows_say_what_the_voice_says(demo: Path):
    done = plan(demo, str(DEMO), "--csv")
    rows = list(csv.DictReader(io.StringIO(done.stdout, newline="")))
    pepper = next(row for row in rows if row["name"] == "Pepper")
    asked = dosewren(demo, "ask", "--home", "home", "cockatiel", "95", "grams")
    assert f"{pepper['volume_ml']} mL of Marigold Demo" in asked.stdout
    assert f"draw to {pepper['fill_to_ml']} mL" in asked.stdout
    states = {"dose": 14, "weigh": 2, "look again": 1, "no dose": 1}
    assert {state: [row["state"] for row in rows].count(state) for state in states} == states


def test_a_sheet_has_no_marks_for_a_bird_that_is_not_due(demo: Path):
    round_ = "yes\nPepper 95\ngiven\nSaffron 31\ngiven\nscratch that\n"
    dosewren(demo, "ask", "--home", "home", "-", typed=round_)
    done = plan(demo, str(DEMO), "--sheet", "sheet.html")
    refused = next(line for line in done.stdout.splitlines() if "Pepper" in line)
    assert refused.startswith(
        "No dose: Lower aviary, Pepper, ring DEMO 12, Cockatiel. It had 0.47 mL"
    )
    assert (demo / "sheet.html").read_text("utf-8").count('class="mark push"') == 13
    weeks = (datetime.now().astimezone() + timedelta(days=14)).strftime("%Y-%m-%d")
    later = plan(demo, str(DEMO), "--made", weeks, "--sheet", "later.html").stdout
    assert "Pepper, ring DEMO 12, Cockatiel, 95 g: 0.47 mL" in later
    assert f"Round sheet, Marigold Demo, {weeks}" in (demo / "later.html").read_text("utf-8")


def test_a_list_with_one_bad_row_plans_nothing(demo: Path):
    (demo / "birds.csv").write_text("species,grams\ncockatiel,95\ngalah,3oo\n", "utf-8")
    done = plan(demo, "birds.csv", "--sheet", "sheet.html")
    assert done.returncode == 3
    assert "birds.csv, row 3, column 2 (grams)" in done.stderr
    assert done.stdout == ""
    assert not (demo / "sheet.html").exists()


def test_a_medicine_that_is_not_confirmed_plans_nothing(demo: Path):
    medicines = demo / "home" / "medicines.toml"
    text = medicines.read_text("utf-8")
    medicines.write_text(text.replace('dose = "0.5 mL/kg"', 'dose = "0.6 mL/kg"'), "utf-8")
    done = plan(demo, "two galahs")
    assert (done.returncode, done.stdout) == (2, "")
    assert "is not confirmed" in done.stderr


def test_a_file_of_somebody_else_is_not_written_over(demo: Path):
    (demo / "letter.html").write_text("mine", "utf-8")
    done = plan(demo, "two galahs", "--sheet", "letter.html")
    assert done.returncode == 2
    assert (demo / "letter.html").read_text("utf-8") == "mine"


def test_a_needle_is_advised_with_its_source(demo: Path):
    done = dosewren(demo, "needle", "--home", "home", "--for", "galah")
    assert done.stdout.startswith("Galah: usually 8 to 10 gauge, about 100 mm")
    assert "LafeberVet" in done.stdout
    many = dosewren(demo, "needle", "--home", "home", "--for", "dove")
    assert (many.returncode, many.stdout) == (2, "")
    assert "Diamond dove, Barbary dove" in many.stderr
    none = dosewren(demo, "needle", "--home", "home", "--for", "diamond dove")
    assert "no source is known here" in none.stdout


def test_a_needle_is_measured_from_typed_answers(demo: Path):
    typed = "1\ndraw\n1 0.79\n1 0.78\n1 0.80\n\nyes\n"
    done = dosewren(demo, "needle", "--home", "home", typed=typed)
    assert done.returncode == 0, done.stderr
    assert 'measured = "0.21 mL"' in (demo / "home" / "kit.toml").read_text("utf-8")
    assert "dry needle: fill to 0.68, push to 0.47" in plan(demo, "a cockatiel of 95 g").stdout


def test_what_the_plan_says_to_make_up_is_what_the_books_take(demo: Path):
    listed = plan(demo, "forty cockatiels of 95 g").stdout
    (line,) = [one for one in listed.splitlines() if "dosewren stock make" in one]
    words = shlex.split(line.partition("dosewren ")[2])
    made = dosewren(demo, *words, "--home", "home", "--yes", typed="\n" * 9)
    assert made.returncode == 0, made.stderr
