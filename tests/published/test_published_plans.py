"""Plans, mixes, needles and errors against figures that others have published."""

from __future__ import annotations

import csv
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from assistant.dosing.dead_volume import WATER_G_PER_ML, water_density
from assistant.dosing.dilution import Dilution
from assistant.dosing.needle import Needle
from assistant.dosing.needle_advice import advise
from assistant.dosing.species import read_species_csv
from assistant.dosing.syringe import Syringe
from assistant.planning.measuring import Wanted, measure, most_in_one
from assistant.planning.round_plan import Wishes
from tests.plan_scene import KIT, LARGE, WISHES, bird, plan

ROOT = Path(__file__).parents[2]
TABLE = ROOT / "assistant" / "data" / "species.csv"
SPECIES = {one.scientific: one for one in read_species_csv(TABLE.read_text(encoding="utf-8"))}

Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (ROOT / "fixtures" / "published" / f"{name}.csv").open(
        encoding="utf-8", newline=""
    ) as file:
        return list(csv.DictReader(file, strict=True))


@pytest.mark.parametrize("row", rows("crop_needles"))
def test_a_published_needle_is_advised(row: Row):
    advice = advise(SPECIES[row["scientific"]])
    assert advice is not None
    assert (advice.thickest, advice.thinnest) == (int(row["thickest"]), int(row["thinnest"]))


def test_no_needle_is_advised_where_no_source_names_one():
    without = {one.group for one in SPECIES.values() if advise(one) is None}
    assert without == {"dove", "pigeon", "quail", "poultry", "gamebird", "softbill"}


@pytest.mark.parametrize("row", rows("mixes"))
def test_a_published_mix_is_measured(row: Row):
    sizes = [one.split("/") for one in row["measures"].split()]
    syringes = tuple(Syringe(Decimal(size), Decimal(mark)) for size, mark in sizes)
    kit, dilution = replace(KIT, pots=(), syringes=syringes), Dilution.parse(row["dilution"])
    wanted = Wanted(Fraction(row["total_ml"]), most_in_one(kit, dilution), dilution)
    mix = measure(wanted, kit)
    assert mix is not None
    assert (mix.product_ml, mix.water_ml) == (Decimal(row["product_ml"]), Decimal(row["water_ml"]))


def test_a_worked_round_needs_what_its_source_says():
    # Derived from the Stubs bore: 20 birds of 0.3 mL and one filling of a 14 gauge needle of 75 mm,
    # 0.1508 mL, and 0.07 mL of dead space in hub and syringe, make 6.2208 mL before any spare.
    needle = Needle(14, Decimal(75), hub_ml=Decimal("0.07"))
    kit = replace(KIT, needles=(needle,), default_needle=needle)
    birds = [bird("60", replace(LARGE, low_g=Decimal(50))) for _ in range(20)]
    made = plan(*birds, kit=kit, wishes=Wishes(WISHES.change, Decimal(0)))
    assert (made.need.upper_ml, made.need.total_ml) == (Decimal(6), Fraction("6.2208"))


@pytest.mark.parametrize(
    ("capacity", "volume", "error"),
    [
        # ISO 7886-1:1993 table 1, from memory: 1.5 % of capacity and 2 % (1 % from 5 mL on) of the
        # volume below half, then 5 % (4 %); the first two as worked out for 1 mL
        ("1", "0.06", "0.0162"),
        ("1", "0.6", "0.03"),
        ("2.5", "1", "0.0575"),
        ("5", "1", "0.085"),
        ("5", "3", "0.12"),
        ("10", "2", "0.17"),
    ],
)
def test_a_syringe_errs_as_its_standard_allows(capacity: str, volume: str, error: str):
    syringe = Syringe(Decimal(capacity), Decimal("0.1"))
    assert syringe.tolerance_ml(Decimal(volume)) == Decimal(error)


def kell(celsius: float) -> float:
    """Density of water in g/mL: Kell 1975, J Chem Eng Data 20:97, coefficients from memory."""
    powers = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
    above = sum(factor * celsius**power for power, factor in enumerate(powers))
    return above / (1 + 16.879850e-3 * celsius) / 1000


@pytest.mark.parametrize("celsius", [degrees for degrees, _ in WATER_G_PER_ML])
def test_the_table_of_the_density_of_water_agrees_with_a_second_source(celsius: int):
    assert abs(float(water_density(Decimal(celsius))) - kell(celsius)) < 0.00003


def test_between_two_rows_of_the_table_the_density_is_near_enough_for_any_needle():
    for tenths in range(401):
        celsius = Decimal(tenths) / 10
        assert abs(float(water_density(celsius)) - kell(float(celsius))) < 0.0005
