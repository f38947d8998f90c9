from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.dosing.needle import (
    HUB_ML,
    ISO_9626_MIN_BORE_MM,
    STUBS_BORE_MM,
    Needle,
    NeedleState,
    bore_ml,
    draw_to,
    mistakes,
)
from tests.dosing_scene import FINE, NEEDLE


def test_a_needle_holds_its_bore_and_its_hub():
    assert NEEDLE.dead_ml == bore_ml(14, Decimal(75)) + HUB_ML
    assert NEEDLE.name == "14 gauge, 75 mm"


def test_what_the_keeper_measured_stands_above_the_table():
    assert Needle(14, Decimal(75), measured_ml=Decimal("0.35")).dead_ml == Decimal("0.35")
    assert Needle(6, Decimal(75), measured_ml=Decimal("0.9")).dead_ml == Decimal("0.9")


def test_a_gauge_outside_the_table_must_be_measured():
    with pytest.raises(ValueError, match="No bore is known for 6 gauge: measure"):
        Needle(6, Decimal(75))


@pytest.mark.parametrize(
    ("length", "hub", "measured"),
    [
        ("0", "0", None),
        ("NaN", "0", None),
        ("75", "-1", None),
        ("75", "0", "0"),
        ("75", "0", "NaN"),
    ],
)
def test_a_needle_that_cannot_be_is_refused(length: str, hub: str, measured: str | None):
    with pytest.raises(ValueError, match="needle"):
        Needle(14, Decimal(length), Decimal(hub), Decimal(measured) if measured else None)


def test_a_bore_narrows_as_the_gauge_grows():
    bores = [STUBS_BORE_MM[gauge] for gauge in range(8, 25)]
    assert bores == sorted(bores, reverse=True)
    assert len(set(bores)) == 17


def test_the_least_bore_is_below_the_nominal_one_at_every_gauge():
    assert all(bore < STUBS_BORE_MM[gauge] for gauge, bore in ISO_9626_MIN_BORE_MM.items())


@pytest.mark.parametrize(
    ("state", "mark"),
    [(NeedleState.DRY, "0.68"), (NeedleState.RINSED, "0.68"), (NeedleState.FULL, "0.47")],
)
def test_how_far_to_draw_depends_on_what_is_in_the_needle(state: NeedleState, mark: str):
    assert draw_to(Decimal("0.47"), NEEDLE, state, FINE) == Decimal(mark)


def test_how_far_to_draw_is_not_guessed():
    with pytest.raises(ValueError, match="what is in the needle"):
        draw_to(Decimal("0.47"), NEEDLE, NeedleState.UNKNOWN, FINE)


def test_each_mistake_is_told_with_its_error():
    holds = Needle(12, Decimal(100), measured_ml=Decimal("0.4"))
    dry, full, rinsed = mistakes(Decimal("0.5"), holds)
    assert (dry.delivered_ml, dry.error_percent) == (Decimal("0.1"), Decimal(-80))
    assert (full.delivered_ml, full.error_percent) == (Decimal("0.9"), Decimal(80))
    assert (rinsed.delivered_ml, rinsed.error_percent) == (Decimal("0.1"), Decimal(-80))
    assert dry.said == (
        "Needle dry and not primed: about 0.1 mL reaches the bird, 80 % too little."
    )
    assert full.said.endswith("about 0.9 mL reaches the bird, 80 % too much.")


def test_a_needle_that_holds_more_than_the_dose_delivers_nothing():
    dry = mistakes(Decimal("0.06"), NEEDLE)[0]
    assert (dry.delivered_ml, dry.error_percent) == (Decimal(0), Decimal(-100))


# nominal inner diameters in inches of the same comparison table, its other column
INCHES = {
    8: "0.135", 9: "0.118", 10: "0.106", 11: "0.094", 12: "0.085", 13: "0.071", 14: "0.063",
    15: "0.054", 16: "0.047", 17: "0.042", 18: "0.033", 19: "0.027", 20: "0.02375", 21: "0.02025",
    22: "0.01625", 23: "0.01325", 24: "0.01225",
}  # fmt: skip


def test_each_bore_in_mm_is_the_tables_bore_in_inches():
    assert set(STUBS_BORE_MM) == set(INCHES)
    for gauge, inches in INCHES.items():
        assert abs(STUBS_BORE_MM[gauge] - Decimal(inches) * Decimal("25.4")) < Decimal("0.001")


def test_no_least_bore_is_narrower_than_four_fifths_of_the_nominal_one():
    for gauge, bore in ISO_9626_MIN_BORE_MM.items():
        assert STUBS_BORE_MM[gauge] * Decimal("0.8") < bore, gauge
