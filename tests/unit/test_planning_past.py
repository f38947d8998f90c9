from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from assistant.dosing.dose import Dose, Refusal
from assistant.dosing.refusal import Reason
from assistant.planning.doses import ToAsk
from assistant.planning.past import Had, Past
from assistant.planning.round_plan import Plan, plan_round
from tests.dosing_scene import medicine
from tests.plan_scene import KIT, WISHES, bird

MEDICINE = medicine(next_dose_days=[10, 14])
ROUND = date(2026, 3, 11)


def planned(grams: str | None, had: dict[str, Had], name: str = "Pepper") -> Plan:
    past = Past(ROUND, {"Pepper": had})
    return plan_round([bird(grams, name=name)], MEDICINE, KIT, WISHES, past)


def had(on: date, grams: str = "95") -> Had:
    return Had(on, Decimal("0.47"), Decimal(grams))


@pytest.mark.parametrize("grams", ["95", None, "70"])
def test_a_bird_before_its_day_gets_neither_marks_nor_blanks(grams: str | None):
    made = planned(grams, {MEDICINE.name: had(date(2026, 3, 2))})
    (refused,) = made.refused
    assert isinstance(refused.outcome, Refusal)
    assert refused.outcome.reason is Reason.ALREADY_DOSED
    assert "had 0.47 mL" in refused.outcome.said
    assert refused.outcome.said.endswith("on 2 March. The next is due from 12 March.")
    assert made.need.upper_ml == 0


@pytest.mark.parametrize("name", ["Pepper", "Nobody", ""])
def test_a_bird_that_is_due_or_was_never_dosed_gets_its_dose(name: str):
    (one,) = planned("95", {MEDICINE.name: had(date(2026, 3, 1))}, name).birds
    assert isinstance(one.outcome, Dose)


@pytest.mark.parametrize(("grams", "asked"), [("85.5", True), ("86", False), ("114", True)])
def test_a_weight_far_from_the_last_one_is_asked_about(grams: str, *, asked: bool):
    (one,) = planned(grams, {"Other": had(date(2026, 2, 1))}).birds
    assert isinstance(one.outcome, ToAsk) is asked
    if isinstance(one.outcome, ToAsk):
        assert one.outcome.said == f"{grams} grams? It was 95 grams on 1 February. Weigh it again."


def test_a_second_medicine_on_the_day_of_the_round_is_left_to_the_round():
    (one,) = planned("95", {"Other": had(ROUND)}).birds
    assert isinstance(one.outcome, ToAsk)
    assert "0.47 mL of Other on 11 March. A second medicine on one day" in one.outcome.said


def test_without_an_interval_the_next_dose_is_a_day_later():
    bare = replace(MEDICINE, interval=None)
    assert bare.due_from(date(2026, 2, 28)) == date(2026, 3, 1)
