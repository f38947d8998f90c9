from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.dosing.dose import Band, Dose, work_out
from assistant.dosing.syringe import Syringe
from tests.dosing_scene import dose, medicine, request, tools

HUNDRED = {"step_g": 100}
TENTHS = Syringe(Decimal("2.5"), Decimal("0.1"))


def banded(grams: str, syringe: Syringe = TENTHS, *, on: bool = True, **changes: object) -> Dose:
    asked = request(grams, medicine=medicine(**{"banding": HUNDRED, **changes}))
    return dose(asked, tools(syringe, banding=on))


def test_a_bird_of_180_g_is_dosed_as_200_g_and_the_excess_is_told():
    found = banded("180")
    assert found.volume_ml == Decimal("1.0")
    assert found.band == Band(Decimal(200), Decimal("11.1"))
    assert found.exact_ml * 1000 == 900


def test_no_band_is_used_unless_the_round_turned_it_on():
    found = banded("180", on=False)
    assert (found.volume_ml, found.band) == (Decimal("0.9"), None)


def test_no_band_is_used_unless_the_medicine_allows_it():
    found = work_out(request("180"), tools(TENTHS, banding=True))
    assert isinstance(found, Dose)
    assert (found.volume_ml, found.band) == (Decimal("0.9"), None)


def test_a_bird_lighter_than_one_band_gets_its_own_dose():
    found = banded("98")
    assert (found.volume_ml, found.band) == (Decimal("0.5"), None)


@pytest.mark.parametrize(
    ("grams", "band"), [("174", Decimal(200)), ("173", None), ("101", None), ("200", None)]
)
def test_a_band_over_its_cap_or_without_effect_is_not_used(grams: str, band: Decimal | None):
    # 200 / 174 is 14.9 % over, 200 / 173 is 15.6 %
    found = banded(grams, Syringe(Decimal("2.5"), Decimal("0.01")))
    assert (found.band.grams if found.band else None) == band


def test_the_cap_of_the_medicines_file_is_the_one_that_counts():
    tight = {"step_g": 100, "cap_percent": 10}
    assert banded("180", banding=tight).band is None
    assert banded("182", banding=tight).band is not None


def test_the_cap_holds_for_the_volume_as_read_on_the_syringe():
    # 390 g as 400 g is 2.6 % over, but 2 mL is read as 2.4 mL: 23 % over
    coarse = Syringe(Decimal("4.8"), Decimal("2.4"))
    assert banded("390", coarse).band is None


def test_a_maximum_is_banded_down_and_never_up():
    found = banded("110", dose_is_maximum=True)
    assert found.band == Band(Decimal(100), Decimal("-9.1"))
    assert found.volume_ml == Decimal("0.5")
    assert banded("180", dose_is_maximum=True).band is None
