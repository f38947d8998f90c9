from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dilution import Dilution
from assistant.dosing.label import Banding, Caution, ConfirmationState, Form, Interval
from assistant.dosing.medicine import confirmation_fields, read_medicine
from assistant.dosing.tables import FigureProblems
from assistant.errors import DataProblem
from tests.dosing_scene import MARIGOLD, medicine

WHOLE = """
name = "Marigold Demo"
spoken = ["marigold", "marigold demo"]
active = "demosol"
strength = "2.5 %"
dose = "0.5 mL/kg"
dilution = { product = 1, water = 9 }
safety_multiple = 10
form = "suspension"
storage = "in the dark"
keeps_days = 2
next_dose_days = [10, 14]
route = "crop"
cautions = [{ for = "pigeon", say = "invented" }]
source = "invented"
fictional = true
banding = { step_g = 50 }
confirmed_by = "Demo Keeper"
confirmed_on = 2025-03-31
"""


def read(text: str):
    return read_medicine(tomllib.loads(text, parse_float=Decimal), "medicines.toml")


def problems(**changes: object) -> list[tuple[str, str, str]]:
    table = {key: value for key, value in {**MARIGOLD, **changes}.items() if value is not None}
    with pytest.raises(FigureProblems) as caught:
        read_medicine(table, "medicines.toml")
    return [(one.place, one.what, one.remedy) for one in caught.value.problems]


def test_every_key_is_read():
    found = read(WHOLE)
    assert found.spoken == ("marigold", "marigold demo")
    assert found.key == "marigold demo"
    assert found.strength_mg_per_ml == 25
    assert found.dilution == Dilution(Decimal(1), Decimal(9))
    assert (found.safety_multiple, found.shelf_life_days) == (10, 2)
    assert (found.form, found.storage) == (Form.SUSPENSION, "in the dark")
    assert found.interval == Interval(10, 14)
    assert found.cautions == (Caution("pigeon", "invented"),)
    assert found.banding == Banding(Decimal(50), Decimal(15))
    assert found.fictional


def test_the_strength_is_said_with_the_dilution():
    assert medicine().said_strength == "25 mg per mL, diluted 1 in 10"
    assert medicine(dilution="neat").said_strength == "25 mg per mL, undiluted"


def test_a_dose_in_mg_goes_through_the_strength():
    # 20 mg/kg of 25 mg/mL is 0.8 mL/kg neat, 8 mL/kg at 1 in 10
    by_weight = medicine(dose="20 mg/kg")
    assert by_weight.label.neat_ml_per_kg == Fraction(4, 5)
    assert by_weight.working_ml_per_g * 1000 == 8
    assert by_weight.label.said == "20 mg/kg"


def test_a_dose_in_mg_without_a_strength_is_a_problem():
    assert problems(dose="20 mg/kg", strength=None) == [
        (
            "medicines.toml, dose",
            "a dose in mg needs the strength",
            'Add a line such as strength = "25 mg/mL"',
        )
    ]


def test_every_problem_is_reported_at_once():
    found = problems(name=None, dose="5 cc", form="powder", keeps_days=-1)
    assert [place for place, _, _ in found] == [
        "medicines.toml, name",
        "medicines.toml, dose",
        "medicines.toml, form",
        "medicines.toml, keeps_days",
    ]


def test_problems_are_errors_that_a_keeper_can_read():
    with pytest.raises(DataProblem) as caught:
        read_medicine({**MARIGOLD, "dilushun": 1}, "medicines.toml")
    assert caught.value.problem == "medicines.toml, dilushun: the key “dilushun” is not known."
    assert caught.value.remedy == "Did you mean “dilution”?"


@pytest.mark.parametrize("key", ["name", "active", "dose", "dilution", "form", "route", "source"])
def test_a_needed_key_that_is_missing_is_named(key: str):
    assert problems(**{key: None}) == [
        (f"medicines.toml, {key}", "is missing", f"Add a line that starts with {key} =")
    ]


@pytest.mark.parametrize("route", ["injection", "under the skin", "im", "water", "skin"])
def test_any_route_but_mouth_and_crop_is_refused(route: str):
    assert (
        problems(route=route)[0][1] == f"“{route}” is not a way of giving that is worked out here"
    )


def test_the_colon_dilution_is_refused_with_both_readings():
    (_, what, remedy) = problems(dilution="1:10")[0]
    assert "1 in 10, that is 1 part product and 9 parts water" in what
    assert remedy == ("Write dilution = { product = 1, water = 9 } or { product = 1, water = 10 }.")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("dose", 0.5),
        ("dose", "0.5"),
        ("dose", "0 mL/kg"),
        ("dose", "25 mg/mL"),
        ("strength", "25"),
        ("strength", "-25 mg/mL"),
        ("dilution", {"product": 1}),
        ("dilution", {"product": 0, "water": 9}),
        ("dilution", {"product": 1, "water": float("nan")}),
        ("dilution", {"product": 1, "water": 9, "oil": 1}),
        ("dilution", 10),
        ("safety_multiple", float("inf")),
        ("safety_multiple", True),
        ("safety_multiple", 0.5),
        ("safety_multiple", "ten"),
        ("next_dose_days", [14, 10]),
        ("next_dose_days", [0, 10]),
        ("next_dose_days", [10]),
        ("next_dose_days", [10.5, 14]),
        ("next_dose_days", [10, 10**9]),
        ("next_dose_days", "10 to 14"),
        ("cautions", [{"for": "pigeon"}]),
        ("cautions", [{"say": "no"}]),
        ("cautions", "pigeon"),
        ("banding", {"cap_percent": 15}),
        ("banding", {"step_g": 50, "cap_percent": 51}),
        ("banding", True),
        ("fictional", "yes"),
        ("spoken", "marigold"),
        ("spoken", [""]),
        ("name", ""),
        ("name", 7),
        ("confirmed_on", "yesterday"),
    ],
)
def test_a_wrong_value_is_told_with_its_place(key: str, value: object):
    found = problems(**{key: value})
    assert all(place.startswith(f"medicines.toml, {key}") for place, _, _ in found)


def test_nobody_has_confirmed_a_fresh_medicine():
    fresh = read_medicine(MARIGOLD, "medicines.toml")
    assert fresh.confirmation_state is ConfirmationState.UNCONFIRMED
    assert not fresh.is_confirmed


def test_a_name_and_a_date_without_the_digest_confirm_nothing():
    assert read(WHOLE).confirmation_state is ConfirmationState.EDITED_SINCE


def test_the_fields_of_a_confirmation_confirm_when_read_back():
    fresh = read_medicine(MARIGOLD, "medicines.toml")
    fields = confirmation_fields(fresh, "Demo Keeper", date(2025, 3, 31))
    again = read_medicine({**MARIGOLD, **fields}, "medicines.toml")
    assert again.is_confirmed
    assert again.confirmation is not None
    assert (again.confirmation.by, again.confirmation.on) == ("Demo Keeper", date(2025, 3, 31))


def test_the_digest_ignores_comments_key_order_and_spelling_of_a_number():
    lines = WHOLE.strip().splitlines()
    assert read("# a comment\n" + "\n".join(reversed(lines))).figures == read(WHOLE).figures
    assert read(WHOLE.replace("2.5 %", "25 mg/mL")).figures == read(WHOLE).figures


@pytest.mark.parametrize(
    "changes",
    [
        {"name": "Other Demo"},
        {"active": "othersol"},
        {"strength": "26 mg/mL"},
        {"dose": "0.6 mL/kg"},
        {"dose": "500 mL per 1000 kg"},
        {"dose_is_maximum": True},
        {"dilution": {"product": 1, "water": 10}},
        {"dilution": {"product": 2, "water": 18}},
        {"safety_multiple": 11},
        {"form": "solution"},
        {"storage": "in the light"},
        {"keeps_days": 3},
        {"next_dose_days": [10, 15]},
        {"cautions": [{"for": "pigeon", "say": "no"}]},
        {"source": "elsewhere"},
        {"fictional": False},
        {"banding": {"step_g": 50}},
    ],
)
def test_an_edit_of_a_figure_voids_the_confirmation(changes: dict[str, object]):
    before = medicine()
    after = replace(read_medicine({**MARIGOLD, **changes}, "m"), confirmation=before.confirmation)
    assert before.is_confirmed
    assert after.confirmation_state is ConfirmationState.EDITED_SINCE


def test_a_caution_that_no_longer_refuses_voids_the_confirmation_too():
    hard = medicine(cautions=[{"for": "pigeon", "say": "no"}])
    soft = medicine(cautions=[{"for": "pigeon", "say": "no", "refuse": False}])
    assert hard.figures != soft.figures


def test_figures_in_any_letters_can_be_confirmed():
    assert medicine(name="Löwenzahn Demo", source="выдумано").is_confirmed


def test_another_dilution_is_confirmed_only_where_the_file_is():
    allowed = medicine(weaker_dilutions=["1 + 19"])
    [weaker] = allowed.permits.weaker
    assert allowed.diluted(weaker).is_confirmed
    edited = replace(allowed, active="othersol")
    assert edited.confirmation is not None
    assert not edited.diluted(weaker).is_confirmed
    assert not replace(allowed, confirmation=None).diluted(weaker).is_confirmed


def test_without_a_strength_the_dilution_alone_is_said():
    assert medicine(strength="25 mg/mL").said_strength == "25 mg per mL, diluted 1 in 10"
    table = {key: value for key, value in MARIGOLD.items() if key != "strength"}
    assert read_medicine(table, "m").said_strength == "diluted 1 in 10"
