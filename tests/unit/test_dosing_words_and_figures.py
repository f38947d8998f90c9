"""The words that a keeper's file may use, figures at their ends, digests that must not move."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.condition import SAID, Condition, condition_named
from assistant.dosing.dead_volume import drawn, mean_of, weighed
from assistant.dosing.dilution import Dilution
from assistant.dosing.kit import Kit, read_kit
from assistant.dosing.limits import cautioned
from assistant.dosing.measures import Liquid, Pot, Pump
from assistant.dosing.medicine import read_medicine
from assistant.dosing.reminders import USUAL
from assistant.dosing.tables import FigureProblems
from tests.dosing_scene import MARIGOLD, NEEDLE, medicine, species


@pytest.mark.parametrize("who", ["all", "All birds", "any bird", "bird", "birds", "every bird"])
def test_a_caution_for_every_bird_refuses_any(who: str):
    assert cautioned(medicine(cautions=[{"for": who, "say": "invented"}]), species()) is not None


@pytest.mark.parametrize(
    ("words", "condition"),
    [
        *((word, Condition.YOUNG) for word in ("young", "chick", "unweaned", "nestling")),
        *((word, Condition.YOUNG) for word in ("juvenile", "chicks", "young birds")),
        *((word, Condition.ILL) for word in ("ill", "sick bird", "weak birds")),
        *((word, Condition.BREEDING) for word in ("breeding pairs", "laying hen", "nesting")),
        *((word, Condition.BREEDING) for word in ("laying hens", "breeding pair")),
        *((word, Condition.MOULTING) for word in ("moulting", "moult", "molting", "molt")),
        *((word, None) for word in ("finch", "hens", "", "birds")),
    ],
)
def test_a_condition_goes_by_its_words(words: str, condition: Condition | None):
    assert condition_named(words) is condition


def test_each_condition_is_said_in_a_sentence():
    assert list(SAID.values()) == ["a chick", "ill", "breeding", "moulting"]


def test_tries_a_fifth_of_their_mean_apart_are_the_last_believed():
    assert mean_of([Fraction("0.18"), Fraction("0.2"), Fraction("0.22")]).agrees
    assert not mean_of([Fraction("0.179"), Fraction("0.2"), Fraction("0.221")]).agrees
    assert mean_of([Fraction("0.2012")] * 3).mean_ml == Decimal("0.201")
    assert mean_of([Fraction("0.2"), Fraction("0.2012")]).spread_ml == Decimal("0.001")


def test_three_millilitres_are_the_most_a_needle_can_have_held():
    assert drawn(Decimal("3.5"), Decimal("0.5")) == 3
    with pytest.raises(ValueError, match="No crop needle"):
        drawn(Decimal("3.51"), Decimal("0.5"))
    with pytest.raises(ValueError, match="weighs more"):
        weighed(Decimal(5), Decimal(5), Decimal(20))


@pytest.mark.parametrize(
    "text",
    [
        "1 + 9", "1 in 10", "1 part product and 9 parts water", "1 mL of product + 9 mL of water",
        "1 part to 9 parts", "1 parts in 10 parts", "1mL product to 9mL water",
    ],
)  # fmt: skip
def test_a_dilution_is_read_in_any_plain_words(text: str):
    assert Dilution.parse(text) == Dilution(Decimal(1), Decimal(9))


def test_more_product_than_there_is_in_all_is_no_dilution():
    with pytest.raises(ValueError, match="“10 in 1” is not a dilution such as"):
        Dilution.parse("10 in 1")


def test_pots_and_pumps_have_names_and_sizes_above_zero():
    assert Pot(Decimal(100)).name == "100 mL pot"
    assert Pump(Decimal(2), Liquid.WATER).name == "pump of 2 mL a stroke"
    for wrong in ((Decimal(0), None), (Decimal(100), Decimal(0)), (Decimal("NaN"), None)):
        with pytest.raises(ValueError, match="above zero"):
            Pot(*wrong)
    with pytest.raises(ValueError, match="above zero"):
        Pump(Decimal(0), Liquid.WATER)


PLAIN = {
    "keeper": "Demo Keeper",
    "scale_step": "1 g",
    "syringe": [{"capacity": "1 mL", "graduation": "0.01 mL"}],
    "needle": [{"gauge": 14, "length": "75 mm"}],
}


def problems(**changes: object) -> list[tuple[str, str]]:
    """Places and remedies of all that is wrong with the plain kit so changed."""
    with pytest.raises(FigureProblems) as caught:
        read_kit({**PLAIN, **changes}, "kit.toml")
    return [(one.place.removeprefix("kit.toml, "), one.what) for one in caught.value.problems]


def test_a_kit_that_says_little_has_these_settings():
    kit = read_kit(PLAIN, "kit.toml")
    assert kit == Kit("Demo Keeper", kit.syringes, (NEEDLE,), NEEDLE, Decimal(1))
    assert (kit.remind_every, kit.recordings_mb) == (10, 200)
    assert kit.rounding_limit_percent == Decimal(10)
    assert (kit.banding, kit.keep_recordings) == (False, False)
    assert kit.spare_percent == Decimal(10)
    assert (kit.needles[0].called, kit.reminders) == ("", USUAL)


def test_a_kit_is_read_by_its_keys():
    kit = read_kit(
        {**PLAIN, "droppings_every_days": 21, "spare_percent": 100, "vet": "Demo Vet",
         "holding": "Demo Aviary", "needle": [{"gauge": 14, "length": "75 mm", "name": "Long"}]},
        "kit.toml",
    )  # fmt: skip
    assert kit.droppings_every_days == 21
    assert kit.spare_percent == Decimal(100)
    assert (kit.vet, kit.holding, kit.needles[0].called) == ("Demo Vet", "Demo Aviary", "long")


@pytest.mark.parametrize(
    ("changes", "where", "what"),
    [
        ({"pot": [{}]}, "pot 1, capacity", "is missing"),
        ({"pot": [{"capacity": "1 L", "mark": 1}]}, "pot 1, mark", "the key “mark” is not known"),
        ({"pump": [{"of": "water"}]}, "pump 1, stroke", "is missing"),
        ({"syringe": [{"capacity": "1 mL"}]}, "syringe 1, graduation", "is missing"),
        ({"syringe": [{"graduation": "1 mL"}]}, "syringe 1, capacity", "is missing"),
        ({"spare_percent": 101}, "spare_percent", "101 is more than 100"),
        ({"needle": [{"gauge": 6, "length": "75 mm"}]}, "needle 1, gauge",
         "No bore is known for 6 gauge: measure what the needle holds"),
        ({"pot": [{"capacity": "100 mL", "graduation": "30 mL"}]}, "pot 1, graduation",
         "A 100 mL pot cannot be marked every 30 mL: "),
        ({"needle": [{"gauge": 14, "length": "75 mm", "name": "n 14"}]}, "needle 1, name",
         "“n 14” cannot be said for a needle"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_kit_is_told_once(changes: dict[str, object], where: str, what: str):
    [(place, told)] = problems(**changes)
    assert (place, told.startswith(what)) == (where, True)


FULL = {
    **MARIGOLD, "storage": "in the dark", "keeps_days": 2, "next_dose_days": [10, 14],
    "course_doses": 2, "cautions": [{"for": "pigeon", "say": "invented"}], "shake": True,
    "banding": {"step_g": 50}, "for_chicks": True, "same_day_as": ["Thistle Demo"],
    "weaker_dilutions": ["1 + 19"], "withdrawal_eggs_days": 7, "withdrawal_meat_days": 0,
}  # fmt: skip


def test_a_confirmation_given_long_ago_still_holds():
    """These digests stand in keepers' files: another way to work them out voids every one."""
    plain = read_medicine(MARIGOLD, "medicines.toml").figures
    full = read_medicine(FULL, "medicines.toml").figures
    assert (plain[:16], full[:16]) == ("26fba64e3a2ea45d", "52fc21f78ec009f3")
