"""The dose worked out a second time, by a road of its own, and the units by a second registry."""

from __future__ import annotations

import functools
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pint
from hypothesis import given
from hypothesis import strategies as st

from assistant.dosing.dilution import Dilution
from assistant.dosing.medicine import read_medicine
from assistant.dosing.quantities import (
    Kind,
    QuantityProblem,
    decimal_text,
    exact,
    grams,
    mass,
    parse,
    to_decimal,
)
from assistant.dosing.units import TABLE, UNITS
from tests.dosing_scene import MARIGOLD

NIST_GRAMS = {
    "g": Fraction(1),
    "kg": Fraction(1000),
    "lb": Fraction("453.59237"),
    "oz": Fraction("28.349523125"),
}
"""Exact by definition: NIST SP 811, appendix B (from memory)."""

AMOUNTS = st.decimals(min_value="0.001", max_value="100000", places=3)
SMALL = st.decimals(min_value="0.01", max_value="50", places=2)


@functools.cache
def their_registry() -> pint.UnitRegistry[Any]:
    """Pint's own definitions, counted in decimals: not ours, and not in our number type."""
    return pint.UnitRegistry(non_int_type=Decimal)


@given(amount=AMOUNTS, unit=st.sampled_from(sorted(NIST_GRAMS)))
def test_a_weight_in_grams_is_exact_by_the_definition_of_its_unit(amount: Decimal, unit: str):
    assert Fraction(grams(mass(amount, unit))) == Fraction(amount) * NIST_GRAMS[unit]
    assert parse(f"{amount} {unit}", Kind.MASS) == mass(amount, unit)


@given(
    amount=AMOUNTS,
    units=st.sampled_from(
        [
            ("g", "gram", Kind.MASS),
            ("kg", "kilogram", Kind.MASS),
            ("mg", "milligram", Kind.MASS),
            ("mcg", "microgram", Kind.MASS),
            ("lb", "pound", Kind.MASS),
            ("oz", "ounce", Kind.MASS),
            ("mL", "milliliter", Kind.VOLUME),
            ("L", "liter", Kind.VOLUME),
            ("mm", "millimeter", Kind.LENGTH),
            ("cm", "centimeter", Kind.LENGTH),
            ("in", "inch", Kind.LENGTH),
            ("mg/mL", "milligram/milliliter", Kind.CONCENTRATION),
            ("mL/kg", "milliliter/kilogram", Kind.VOLUME_DOSE),
            ("mL/lb", "milliliter/pound", Kind.VOLUME_DOSE),
            ("mg/kg", "milligram/kilogram", Kind.MASS_DOSE),
            ("mcg/g", "microgram/gram", Kind.MASS_DOSE),
        ]
    ),
)
def test_every_unit_agrees_with_pints_own_registry(amount: Decimal, units: tuple[str, str, Kind]):
    ours, theirs, kind = units
    expected = their_registry().Quantity(amount, theirs).m_as(kind.unit)
    found = exact(parse(f"{amount} {ours}", kind))
    # theirs divides in decimals of 28 digits; ours does not round
    assert abs(found - Fraction(expected)) <= abs(found) / 10**24


def test_pint_reads_our_table_of_units_as_we_do():
    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(TABLE.splitlines(), non_int_type=Fraction)
    for name, one in UNITS.items():
        theirs = registry.Unit(name)
        assert registry.Quantity(1, theirs).to_base_units().magnitude == one.value
        top, *under = one.measures
        of = {f"[{top}]": 1} | {f"[{below}]": -1 for below in under}
        assert dict(theirs.dimensionality) == of


@given(dose=SMALL, strength=SMALL, product=SMALL, water=SMALL, weight=AMOUNTS)
def test_the_dose_agrees_with_the_amount_of_active_in_it(
    dose: Decimal, strength: Decimal, product: Decimal, water: Decimal, weight: Decimal
):
    figures = {
        "dose": f"{dose} mg/kg",
        "strength": f"{strength} mg/mL",
        "dilution": {"product": product, "water": water},
    }
    medicine = read_medicine({**MARIGOLD, **figures}, "medicines.toml")
    volume = medicine.working_ml_per_g * Fraction(weight)
    # the road back: a mL of the dilution holds its share of product, and that its mg of active
    share = Fraction(product) / (Fraction(product) + Fraction(water))
    milligrams = volume * share * Fraction(strength)
    assert milligrams == Fraction(dose) * Fraction(weight) / 1000


@given(product=SMALL, water=SMALL, total=AMOUNTS)
def test_a_dilution_conserves_volume_and_active(product: Decimal, water: Decimal, total: Decimal):
    dilution = Dilution(product, water)
    made, filled = dilution.product_for(total), dilution.water_for(total)
    assert made + filled == Fraction(total)
    assert made * Fraction(water) == filled * Fraction(product)


@given(product=st.integers(1, 50), water=st.integers(0, 500))
def test_the_said_parts_are_read_back_as_the_same_dilution(product: int, water: int):
    dilution = Dilution(Decimal(product), Decimal(water))
    assert Dilution.parse(f"{product} + {water}") == dilution
    assert Dilution.parse(f"{product} in {product + water}") == dilution
    assert Dilution.parse(f"{product} to {water}") == dilution
    assert Dilution.parse(dilution.short).factor == dilution.factor


@given(numerator=st.integers(-(10**30), 10**30), denominator=st.integers(1, 10**12))
def test_a_number_is_written_exactly_or_to_ten_places(numerator: int, denominator: int):
    value = Fraction(numerator, denominator)
    text = decimal_text(value)
    off = abs(Fraction(text) - value)
    assert off == 0 or (off <= Fraction(1, 2 * 10**10) and "." in text)
    assert not text.startswith((".", "-."))
    assert "E" not in text
    assert text == "0" or "." not in text or not text.endswith(("0", "."))


@given(value=st.fractions(), places=st.integers(0, 6))
def test_rounding_is_never_off_by_more_than_half_a_place(value: Fraction, places: int):
    assert abs(Fraction(to_decimal(value, places)) - value) <= Fraction(1, 2 * 10**places)


@given(text=st.text(max_size=200))
def test_any_text_is_an_amount_or_a_plain_refusal(text: str):
    for kind in Kind:
        try:
            assert exact(parse(text, kind)) > 0
        except QuantityProblem as problem:
            assert problem.text == text  # noqa: PT017 - both ends are right, a crash is not
