from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.dosing.kit import Kit, read_kit
from assistant.dosing.measures import Liquid, NeedleChange, Pot, Pump
from assistant.dosing.needle import Needle
from assistant.dosing.syringe import Fitting, Syringe
from assistant.dosing.tables import FigureProblems

PLAIN = {
    "keeper": "Demo Keeper",
    "scale_step": "1 g",
    "syringe": [
        {"capacity": "1 mL", "graduation": "0.01 mL"},
        {"capacity": "2.5 mL", "graduation": "0.1 mL"},
    ],
    "needle": [{"gauge": 14, "length": "75 mm"}, {"gauge": 12, "length": "10 cm"}],
}


def problems(**changes: object) -> list[tuple[str, str]]:
    with pytest.raises(FigureProblems) as caught:
        read_kit({**PLAIN, **changes}, "kit.toml")
    return [(one.place, one.what) for one in caught.value.problems]


def test_a_plain_kit_is_read_and_the_rest_has_its_defaults():
    first, second = Needle(14, Decimal(75)), Needle(12, Decimal(100))
    assert read_kit(PLAIN, "kit.toml") == Kit(
        keeper="Demo Keeper",
        syringes=(
            Syringe(Decimal(1), Decimal("0.01")),
            Syringe(Decimal("2.5"), Decimal("0.1")),
        ),
        needles=(first, second),
        default_needle=first,
        scale_step_g=Decimal(1),
    )


def test_every_setting_is_read():
    needles = [
        {"gauge": 14, "length": "75 mm", "measured": "0.35 mL"},
        {"gauge": 12, "length": "100 mm", "hub": "0.07 mL", "default": True},
    ]
    voice = {"name": "gentle", "rate": 150}
    settings = {"medicine": "Marigold Demo", "banding": True, "remind_every": 5}
    settings["attention"] = "Old Marlow"
    kit = read_kit(
        {**PLAIN, **settings, "rounding_limit_percent": 5, "needle": needles, "voice": voice}, "k"
    )
    assert kit.default_needle == Needle(12, Decimal(100), Decimal("0.07"))
    assert kit.needles[0].dead_ml == Decimal("0.35")
    assert (kit.medicine, kit.banding, kit.remind_every) == ("Marigold Demo", True, 5)
    assert (kit.voice, kit.voice_rate) == ("gentle", 150)
    assert kit.rounding_limit_percent == 5
    assert kit.attention == "old marlow"


@pytest.mark.parametrize(
    "row",
    [
        {"capacity": "100 units", "graduation": "1 unit"},
        {"capacity": "1 mL insulin", "graduation": "0.01 mL"},
        {"capacity": "U-100", "graduation": "0.01 mL"},
        {"capacity": "50 IU", "graduation": "1 IU"},
    ],
)
def test_a_syringe_marked_in_insulin_units_is_refused(row: dict[str, str]):
    assert problems(syringe=[row]) == [
        (
            "kit.toml, syringe 1, capacity",
            "a syringe marked in insulin units does not show mL",
        )
    ]


@pytest.mark.parametrize(
    ("changes", "place", "words"),
    [
        ({"keeper": ""}, "keeper", "not a text"),
        ({"scale_step": 1}, "scale_step", "has no unit"),
        ({"scale_step": "1 mL"}, "scale_step", "another kind"),
        ({"rounding_limit_percent": -1}, "rounding_limit_percent", "above zero"),
        ({"remind_every": 1.5}, "remind_every", "whole number"),
        ({"banding": 1}, "banding", "neither true nor false"),
        ({"attention": "joe"}, "attention", "cannot be the attention word"),
        ({"attention": "marlow 2"}, "attention", "cannot be the attention word"),
        ({"attention": "my old marlow"}, "attention", "cannot be the attention word"),
        ({"voice": {"speed": 1}}, "voice, speed", "not known"),
        ({"needles": []}, "needles", "not known"),
        ({"needle": []}, "needle", "there is no needle"),
        ({"syringe": []}, "syringe", "there is no syringe"),
        ({"needle": [{"gauge": 6, "length": "75 mm"}]}, "needle 1, gauge", "No bore is known"),
        ({"needle": [{"gauge": 14, "length": "75"}]}, "needle 1, length", "unit is missing"),
        (
            {"needle": [{"gauge": 14, "length": "75 mm", "default": True}] * 2},
            "needle",
            "more than one",
        ),
    ],
)
def test_a_wrong_value_is_told_with_its_place(changes: dict[str, object], place: str, words: str):
    found = problems(**changes)
    assert [where for where, _ in found] == [f"kit.toml, {place}"]
    assert words in found[0][1]


def test_a_scale_that_does_not_end_on_a_mark_is_told():
    found = problems(syringe=[{"capacity": "1 mL", "graduation": "0.3 mL"}, PLAIN["syringe"][0]])
    assert [where for where, _ in found] == ["kit.toml, syringe 1, graduation"]


def test_what_a_plan_asks_of_the_kit_is_read():
    kit = read_kit(
        {
            **PLAIN,
            "pot": [{"capacity": "100 mL", "graduation": "10 mL"}, {"capacity": "1 L"}],
            "pump": [{"stroke": "2 mL", "of": "product"}],
            "change_needle": "cage",
            "spare_percent": 0,
            "syringe": [{"capacity": "1 mL", "graduation": "0.01 mL", "fitting": "lock"}],
        },
        "kit.toml",
    )
    assert kit.pots == (Pot(Decimal(100), Decimal(10)), Pot(Decimal(1000)))
    assert kit.pumps == (Pump(Decimal(2), Liquid.PRODUCT),)
    assert (kit.needle_change, kit.spare_percent) == (NeedleChange.CAGE, Decimal(0))
    assert kit.syringes == (Syringe(Decimal(1), Decimal("0.01"), Fitting.LOCK),)


@pytest.mark.parametrize(
    ("change", "place", "what"),
    [
        ({"pot": [{"capacity": "100 mL", "graduation": "30 mL"}]}, "pot 1", "cannot be marked"),
        ({"pump": [{"stroke": "2 mL"}]}, "pump 1, of", "missing"),
        ({"pump": [{"stroke": "2 mL", "of": "oil"}]}, "pump 1, of", "not a word that can stand"),
        ({"change_needle": "often"}, "change_needle", "not a word that can stand"),
        ({"spare_percent": 150}, "spare_percent", "more than 100"),
    ],
)
def test_what_a_plan_cannot_use_is_told_with_its_place(
    change: dict[str, object], place: str, what: str
):
    ((where, said),) = problems(**change)
    assert place in where
    assert what in said
