from __future__ import annotations

import subprocess
import sys
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.quantities import (
    Kind,
    QuantityProblem,
    decimal_text,
    exact,
    grams,
    kind_of,
    mass,
    millilitres,
    parse,
    rounded_text,
    to_decimal,
)
from assistant.dosing.units import Quantity, read


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("62 g", Kind.MASS, "62"),
        ("62g", Kind.MASS, "62"),
        ("0.4 kg", Kind.MASS, "400"),
        (".4 kg", Kind.MASS, "400"),
        ("2 lb", Kind.MASS, "907.18474"),
        ("3.2 ounces", Kind.MASS, "90.718474"),
        ("1.5 L", Kind.VOLUME, "1500"),
        ("0.5 ml", Kind.VOLUME, "0.5"),
        ("3 in", Kind.LENGTH, "76.2"),
        ("25 mg/mL", Kind.CONCENTRATION, "25"),
        ("125 mg per 5 mL", Kind.CONCENTRATION, "25"),
        ("250 mcg / mL", Kind.CONCENTRATION, "0.25"),
        ("2.5 %", Kind.CONCENTRATION, "25"),
        ("2.5% w/v", Kind.CONCENTRATION, "25"),
        ("2.5 %w/v", Kind.CONCENTRATION, "25"),
        ("2.5 percent w/v", Kind.CONCENTRATION, "25"),
        ("10 percent", Kind.CONCENTRATION, "100"),
        ("0.5 mL/kg", Kind.VOLUME_DOSE, "0.5"),
        ("1 mL per 2 kg", Kind.VOLUME_DOSE, "0.5"),
        ("0.05 mL per 100 g", Kind.VOLUME_DOSE, "0.5"),
        ("20 mg/kg", Kind.MASS_DOSE, "20"),
    ],
)
def test_an_amount_is_read_exactly(text: str, kind: Kind, value: str):
    amount = parse(text, kind)
    assert exact(amount) == Fraction(value)
    assert kind_of(amount) is kind


def test_an_endless_rate_stays_exact():
    assert exact(parse("1 mL per 3 kg", Kind.VOLUME_DOSE)) == Fraction(1, 3)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "it is empty"),
        ("   ", "it is empty"),
        ("62", "the unit is missing"),
        ("g", "it needs a plain number and a unit"),
        ("0 g", "zero is not an amount"),
        ("0.0 kg", "zero is not an amount"),
        ("-62 g", "it is below zero"),
        ("−62 g", "it is below zero"),
        ("NaN g", "it is not a number"),
        ("inf g", "it is not a number"),
        ("+Infinity g", "it is not a number"),
        ("1e3 g", "it needs a plain number and a unit"),
        ("1,5 kg", "write the decimals after a point, and no comma"),
        ("62 cc", "write mL, not cc"),
        ("5 IU", "doses in international units are not worked out here"),
        ("5 units", "units are not millilitres"),
        ("3 drops", "drops differ from dropper to dropper; write mL"),
        ("5 µg", "write mcg"),
        ("62 furlongs", "“furlongs” is not a unit known here"),
        ("62 Mg", "“Mg” is not a unit known here"),
        ("62 mL", "the unit is of another kind"),
        ("62 g/mL", "the unit is of another kind"),
        ("６２ g", "it needs a plain number and a unit"),
        ("шестьдесят g", "it needs a plain number and a unit"),
        ("62 g\x00", "it needs a plain number and a unit"),
        ("9" * 10_000 + " g", "it is too long"),
    ],
)
def test_what_is_no_weight_is_refused_with_the_reason(text: str, reason: str):
    with pytest.raises(QuantityProblem) as caught:
        parse(text, Kind.MASS)
    assert caught.value.reason == reason
    assert caught.value.expected is Kind.MASS
    assert len(str(caught.value)) < 200


def test_a_refusal_names_the_offending_text():
    with pytest.raises(QuantityProblem, match=r"^“62 cc” is not a weight such as 62 g: write mL"):
        parse("62 cc", Kind.MASS)


def test_a_dose_with_no_weight_in_it_is_refused():
    with pytest.raises(QuantityProblem, match="zero is not an amount"):
        parse("1 mL per 0 kg", Kind.VOLUME_DOSE)


@pytest.mark.parametrize("unit", ["g", "kg", "lb", "oz"])
@pytest.mark.parametrize("amount", ["NaN", "Infinity", "0", "-1"])
def test_a_weight_made_of_no_number_is_refused(amount: str, unit: str):
    with pytest.raises(QuantityProblem, match="a number above zero"):
        mass(Decimal(amount), unit)


@pytest.mark.parametrize("unit", ["mL", "stone", "units", ""])
def test_a_weight_in_no_unit_of_weight_is_refused(unit: str):
    with pytest.raises(QuantityProblem):
        mass(Decimal(5), unit)


def test_grams_and_millilitres_are_exact_decimals():
    assert grams(mass(Decimal("3.2"), "oz")) == Decimal("90.718474")
    assert millilitres(parse("0.25 L", Kind.VOLUME)) == Decimal(250)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Decimal("0.50"), "0.5"),
        (Decimal("1.0"), "1"),
        (Decimal("1E+3"), "1000"),
        (Decimal("-0.0"), "0"),
        (Decimal("1E-7"), "0.0000001"),
        (Fraction(1, 3), "0.3333333333"),
        (2 + Fraction(1, 3 * 10**12), "2"),
        (Fraction(1, 3 * 10**12), "0"),
        (Fraction(-1, 8), "-0.125"),
        (Fraction(1, 2**12), "0.000244140625"),
        (Decimal("123456789012345678901234567890.5"), "123456789012345678901234567890.5"),
    ],
)
def test_a_number_is_written_plainly(value: Fraction | Decimal, text: str):
    assert decimal_text(value) == text


def test_a_decimal_has_no_more_places_than_it_needs():
    assert [str(to_decimal(Fraction(value))) for value in ("5", "0.125", "-0.2")] == [
        "5", "0.125", "-0.2"
    ]  # fmt: skip


def test_a_number_is_rounded_for_saying():
    assert rounded_text(Fraction(2, 3)) == "0.67"
    assert rounded_text(Decimal("0.5")) == "0.5"
    assert to_decimal(Fraction(1, 3), 1) == Decimal("0.3")
    assert to_decimal(Fraction(-2, 3), 0) == Decimal(-1)


def test_the_dose_can_be_imported_without_rapidfuzz():
    modules = "dose, kit, medicine, needle, quantities, species, syringe, tables"
    code = (
        f"import sys\nfrom assistant.dosing import {modules}\nsys.exit('rapidfuzz' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(("text", "kind"), [
    ("2 mL/L", Kind.MASS_DOSE), ("2 mm/mm", Kind.MASS_DOSE), ("2 %/kg", Kind.MASS_DOSE),
])  # fmt: skip
def test_a_share_of_a_volume_is_no_dose_by_weight(text: str, kind: Kind):
    with pytest.raises(QuantityProblem, match="of another kind"):
        parse(text, kind)


def test_a_table_of_units_is_read_line_by_line():
    # the tests of published values let pint read the table that is in use
    known = read("grain = [mass] = gr\n\nscruple = 20 * grain = s\nheap = 2 * scruple / grain\n")
    mass = ("mass",)
    assert known["grain"] == known["gr"] == Quantity(Fraction(1), mass)
    assert known["scruple"] == known["s"] == Quantity(Fraction(20), mass)
    assert known["heap"] == Quantity(Fraction(40), mass + mass)
    assert set(known) == {"grain", "gr", "scruple", "s", "heap"}
