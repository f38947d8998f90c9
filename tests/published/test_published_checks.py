"""Checks against figures that others have published; each row of the files names its source."""

from __future__ import annotations

import csv
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from assistant.dosing.dilution import Dilution
from assistant.dosing.medicine import read_medicine
from assistant.dosing.needle import STUBS_BORE_MM, bore_ml, minimum_bore_ml
from assistant.dosing.quantities import Kind, decimal_text, exact, grams, parse, to_decimal
from assistant.dosing.species import CROP_ML_PER_KG, crop_limit_ml, read_species_csv
from tests.dosing_scene import MARIGOLD

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "fixtures" / "published"
TABLE = ROOT / "assistant" / "data" / "species.csv"
SPECIES = {one.scientific: one for one in read_species_csv(TABLE.read_text(encoding="utf-8"))}

Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def test_every_row_of_every_file_names_its_source():
    files = sorted(FOLDER.glob("*.csv"))
    assert len(files) >= 7
    for file in files:
        found = rows(file.stem)
        assert found
        assert all(row["source"].strip() and None not in row.values() for row in found)


@pytest.mark.parametrize("row", rows("arithmetic"))
def test_a_published_conversion_is_reproduced(row: Row):
    if row["check"] == "grams":
        found = Fraction(grams(parse(row["given"], Kind.MASS)))
    else:
        volume = Fraction(row["check"].split()[2])
        found = exact(parse(row["given"], Kind.CONCENTRATION)) * volume
    assert abs(found - Fraction(row["expected"])) <= Fraction(row["tolerance"])


@pytest.mark.parametrize("row", rows("doses"))
def test_a_published_dose_is_reproduced(row: Row):
    figures = {key: row[key] for key in ("dose", "strength", "dilution")}
    medicine = read_medicine({**MARIGOLD, **figures}, row["source"])
    found = medicine.working_ml_per_g * Fraction(row["grams"])
    assert to_decimal(found, int(row["rounded_to"])) == Decimal(row["exact_ml"])


@pytest.mark.parametrize("row", rows("dilutions"))
def test_a_published_dilution_is_reproduced(row: Row):
    dilution, total = Dilution.parse(row["dilution"]), Decimal(row["total_ml"])
    assert dilution.product_for(total) == Fraction(row["product_ml"])
    assert dilution.water_for(total) == Fraction(row["water_ml"])


@pytest.mark.parametrize("row", rows("needles"))
def test_a_published_bore_is_reproduced(row: Row):
    volume = bore_ml if row["table"] == "stubs" else minimum_bore_ml
    found = volume(int(row["gauge"]), Decimal(row["length_mm"]))
    assert abs(found - Decimal(row["bore_ml"])) <= Decimal(row["tolerance_ml"])


def test_the_least_bore_of_iso_9626_is_a_lower_bound_for_every_nominal_one():
    # the least bores are from memory; here they only bound the table that is in use
    for gauge in range(10, 25):
        assert gauge in STUBS_BORE_MM
        assert minimum_bore_ml(gauge, Decimal(75)) <= bore_ml(gauge, Decimal(75))


@pytest.mark.parametrize("row", rows("masses"))
def test_a_mean_weight_agrees_with_a_second_data_set(row: Row):
    mean = SPECIES[row["scientific"]].mean_g
    assert mean is not None
    off = abs(Fraction(mean) / Fraction(row["grams"]) - 1) * 100
    assert off <= Fraction(row["tolerance_percent"])


@pytest.mark.parametrize("row", rows("crops"))
def test_a_medicine_stays_below_the_smallest_published_feed(row: Row):
    mean = SPECIES[row["scientific"]].mean_g
    assert mean is not None
    crop = Fraction(mean) * CROP_ML_PER_KG / 1000
    assert to_decimal(crop, 2) == Decimal(row["crop_ml"])
    assert to_decimal(crop / 3, 2) == Decimal(row["third_ml"])
    assert crop_limit_ml(mean) < crop / 3


@pytest.mark.parametrize("row", rows("writing"))
def test_a_number_is_written_as_the_safety_lists_ask(row: Row):
    assert decimal_text(Decimal(row["value"])) == row["written"]
