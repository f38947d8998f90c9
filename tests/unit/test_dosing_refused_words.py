"""What a keeper's file may not say, each with the reason and what to do."""

from __future__ import annotations

import pytest

from assistant.dosing.dilution import Dilution
from assistant.dosing.kit import read_kit
from assistant.dosing.medicine import read_medicine
from assistant.dosing.quantities import Kind, QuantityProblem, parse
from assistant.dosing.tables import FigureProblems, Problem
from tests.dosing_scene import MARIGOLD
from tests.unit.test_dosing_words_and_figures import PLAIN


@pytest.mark.parametrize(
    ("unit", "reason"),
    [
        *((unit, "write mL, not cc") for unit in ("cc", "ccs", "CC")),
        ("IU", "doses in international units are not worked out here"),
        *((unit, "units are not millilitres") for unit in ("unit", "units", "U")),
        *((unit, "drops differ from dropper to dropper; write mL") for unit in ("drop", "drops")),
        *((unit, "write mcg") for unit in ("µg", "μg", "ug")),
    ],
)
def test_a_unit_that_is_refused_says_why(unit: str, reason: str):
    with pytest.raises(QuantityProblem) as caught:
        parse(f"5 {unit}", Kind.VOLUME)
    assert caught.value.reason == reason


def test_a_long_text_is_shown_in_part():
    with pytest.raises(ValueError, match=r"^“" + "x" * 60 + "…” is not a dilution"):
        Dilution.parse("x" * 61)
    with pytest.raises(ValueError, match=r"^“" + "x" * 60 + "” is not a dilution"):
        Dilution.parse("x" * 60)


def of_kit(**changes: object) -> list[Problem]:
    """What is wrong with a plain kit so changed; None takes a key out."""
    table = {key: value for key, value in {**PLAIN, **changes}.items() if value is not None}
    with pytest.raises(FigureProblems) as caught:
        read_kit(table, "kit.toml")
    return list(caught.value.problems)


def of_medicine(**changes: object) -> list[Problem]:
    """What is wrong with the invented medicine so changed."""
    with pytest.raises(FigureProblems) as caught:
        read_medicine({**MARIGOLD, **changes}, "medicines.toml")
    return list(caught.value.problems)


@pytest.mark.parametrize("key", ["keeper", "scale_step"])
def test_a_kit_needs_its_keeper_and_its_scale(key: str):
    assert of_kit(**{key: None}) == [
        Problem(f"kit.toml, {key}", "is missing", f"Add a line that starts with {key} =")
    ]


@pytest.mark.parametrize(
    ("key", "with_its"), [("syringe", "capacity and graduation"), ("needle", "gauge and length")]
)
def test_a_kit_needs_a_syringe_and_a_needle(key: str, with_its: str):
    [problem] = of_kit(**{key: []})
    assert problem.remedy == f"Add a [[{key}]] with its {with_its}."


def test_a_needle_without_a_known_bore_is_to_be_weighed():
    [problem] = of_kit(needle=[{"gauge": 6, "length": "75 mm"}])
    assert problem.remedy.startswith("Weigh the needle dry and full of water")


@pytest.mark.parametrize("key", ["withdrawal_eggs_days", "withdrawal_meat_days"])
def test_ten_years_are_the_longest_withdrawal(key: str):
    assert read_medicine({**MARIGOLD, key: 3650}, "medicines.toml").record.figures
    [problem] = of_medicine(**{key: 3651})
    assert problem.place == f"medicines.toml, {key}"
    assert problem.remedy.startswith("Write the label's days, 0 where it says none")


@pytest.mark.parametrize(
    ("changes", "key", "remedy"),
    [
        ({"form": "powder"}, "form", 'Write "suspension" or "solution".'),
        ({"route": "skin"}, "route", 'Write "mouth" or "crop"; nothing else is worked out.'),
        ({"dilution": "a lot"}, "dilution",
         "Write dilution = { product = 1, water = 9 }, with your own parts."),
        ({"weaker_dilutions": ["a lot"]}, "weaker_dilutions", "Write each as in 1 + 19."),
        ({"next_dose_days": [0, 366]}, "next_dose_days",
         "Write the earliest and the latest day, as in next_dose_days = [10, 14]."),
        ({"product_expires": "soon"}, "product_expires", "Write it as 2025-03-31."),
    ],
)  # fmt: skip
def test_what_to_write_instead_is_told(changes: dict[str, object], key: str, remedy: str):
    [problem] = of_medicine(**changes)
    assert (problem.place, problem.remedy) == (f"medicines.toml, {key}", remedy)


def test_mouth_and_crop_are_ways_to_give_it_and_a_year_is_the_longest_wait():
    for route in ("mouth", "Crop"):
        assert read_medicine({**MARIGOLD, "route": route}, "m").route == route.lower()
    assert read_medicine({**MARIGOLD, "next_dose_days": [1, 365]}, "m").interval is not None
    assert of_medicine(next_dose_days=[1, 366])
