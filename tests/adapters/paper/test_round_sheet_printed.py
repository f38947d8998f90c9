"""The round sheet and the label as a browser prints them, the marks measured on the paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.adapters.paper.pot_label import label_page
from assistant.adapters.paper.round_sheet import round_sheet
from assistant.dosing.dose import Dose
from assistant.planning.pot_label import pot_labels
from tests.paper import DOTS_PER_MM, grey_rows, print_page, said_by
from tests.plan_scene import KIT, LARGE, bird, plan

AT = datetime.fromisoformat("2026-11-28T08:00:00+00:00")
BLACK, DOSE = 90, range(195, 208)
"""The dots of a line, and those of the medicine in the barrel."""


def strokes(rows: list[bytes], left: int) -> list[float]:
    """Where upright lines stand in these rows from this column on, in dots, each at its middle."""
    dark = [
        column
        for column in range(left, len(rows[0]))
        if sum(row[column] < BLACK for row in rows) * 3 > len(rows)
    ]
    found: list[list[int]] = []
    for column in dark:
        if found and column - found[-1][-1] == 1:
            found[-1].append(column)
        else:
            found.append([column])
    return [sum(one) / len(one) for one in found]


def barrel(rows: list[bytes]) -> tuple[list[bytes], int]:
    """The upper third of the barrel, where no graduation stands, and the column it begins at."""
    filled = [at for at, row in enumerate(rows) if sum(dot in DOSE for dot in row) > 50]
    top, height = filled[0], filled[-1] - filled[0]
    first = next(at for at, dot in enumerate(rows[top + 5]) if dot in DOSE)
    return rows[top + 5 : top + height // 3], first - DOTS_PER_MM


HEAVY = replace(LARGE, high_g=Decimal(600))


@pytest.mark.parametrize("grams", ["80", "95", "125", "430"])
def test_both_marks_stand_at_their_volumes_on_the_paper(tmp_path: Path, grams: str):
    made = plan(bird(grams, HEAVY))
    dose = made.birds[0].outcome
    assert isinstance(dose, Dose)
    upper, left = barrel(grey_rows(print_page(round_sheet(made, AT, KIT), tmp_path, "sheet")))
    nought, push, fill, end = strokes(upper, left)
    for at, volume in ((push, dose.volume_ml), (fill, dose.draw_to_ml)):
        read = Decimal((at - nought) / (end - nought)) * dose.syringe.capacity_ml
        assert abs(read - volume) <= dose.syringe.graduation_ml / 4
    assert (end - nought) / DOTS_PER_MM > 130


def test_a_bird_not_weighed_has_no_mark_on_the_paper(tmp_path: Path):
    page = round_sheet(plan(bird(None), bird("50"), bird("5")), AT, KIT)
    rows = grey_rows(print_page(page, tmp_path, "blank"))
    assert not [row for row in rows if sum(dot in DOSE for dot in row) > 50]


def test_the_sheet_is_a4_and_can_be_read_from_the_perch(tmp_path: Path):
    birds = [bird(str(grams), cage=f"Aviary {grams % 3}") for grams in range(80, 125)]
    printed = print_page(round_sheet(plan(*birds), AT, KIT), tmp_path, "sheet")
    assert " pts (A4)" in said_by("pdfinfo", printed)
    text = " ".join(said_by("pdftotext", printed, "-").split())
    assert text.count("push to 0.") == len(birds)
    assert text.count("fill to 0.") == len(birds)
    tall = [height for word, height in word_heights(printed) if word == "push"]
    # 8 mm type; common practice for signs is 1 mm of letter for each 0.25 m (no source)
    assert min(tall[1:]) > 20


def word_heights(printed: Path) -> list[tuple[str, float]]:
    """Each word of the print and the height of its box, in points."""
    words = []
    for line in said_by("pdftotext", "-bbox", printed, "-").splitlines():
        if "<word " in line:
            part = {one.split("=")[0]: one.split('"')[1] for one in line.split()[1:5]}
            text = line.partition(">")[2].partition("<")[0]
            words.append((text, float(part["yMax"]) - float(part["yMin"])))
    return words


def test_the_label_fits_a_pot(tmp_path: Path):
    labels = pot_labels(plan(*[bird("95")] * 20, keeps_days=2, storage="cool"), AT)
    printed = print_page(label_page(labels), tmp_path, "label")
    text = " ".join(said_by("pdftotext", printed, "-").split())
    assert "1 in 10: 1 part product and 9 parts water" in text
    assert "Throw away by 30 November 2026, 08:00" in text
    assert "Pages: 1" in " ".join(said_by("pdfinfo", printed).split())


def test_a_label_that_ends_with_its_bottle_names_the_last_day():
    ending = plan(bird("95"), keeps_days=9, product_expires=AT.date())
    assert "Throw away after 28 November 2026<" in label_page(pot_labels(ending, AT))
