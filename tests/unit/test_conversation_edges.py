"""What a first answer leaves behind, and where hearing begins to be in doubt."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from assistant.conversation.doubting import in_doubt
from assistant.conversation.entries import DoseEntry, ExchangeEntry, TreatmentEntry
from assistant.conversation.turn import Status
from assistant.language.heard import Channel, Heard
from tests.dosing_scene import medicine
from tests.talk_scene import Talk, begun, setting

DEMO = "Demo medicine, never for a real bird."


@pytest.mark.parametrize(
    ("heard", "doubted"),
    [
        (Heard("given", 0.5, channel=Channel.VOICE), False),
        (Heard("given", 0.49, channel=Channel.VOICE), True),
        (Heard("given", 0.99, channel=Channel.VOICE, doubtful=True), True),
        (Heard("given", 0.1), False),
    ],
)
def test_below_an_even_chance_a_spoken_phrase_is_in_doubt(heard: Heard, *, doubted: bool):
    assert in_doubt(heard) is doubted


def test_a_demo_medicine_is_called_one_before_and_with_the_first_dose():
    talk = Talk(setting())
    assert DEMO in talk.say("cockatiel 95").reply.said
    assert DEMO in talk.say("yes").reply.said


def test_a_medicine_that_is_none_is_never_called_a_demo():
    talk = Talk(setting(medicine(fictional=False)))
    assert DEMO not in talk.say("cockatiel 95").reply.said
    answered = talk.say("yes")
    assert (answered.status, DEMO in answered.reply.said) == (Status.ANSWERED, False)


def test_an_answer_leaves_one_row_of_each_kind_with_what_it_was_asked():
    entries = begun().say("cockatiel 95").entries
    [exchange] = [one for one in entries if isinstance(one, ExchangeEntry)]
    [dose] = [one for one in entries if isinstance(one, DoseEntry)]
    [treatment] = [one for one in entries if isinstance(one, TreatmentEntry)]
    assert (exchange.intent, exchange.status, exchange.reason) == ("dose", "answered", None)
    assert exchange.request is not None
    assert json.loads(exchange.request) == {
        "doubt": None,
        "readings": [{"birds": ["Cockatiel"], "grams": ["95"], "request": "DoseWanted"}],
    }
    assert (dose.volume_ml, dose.exact_ml) == (Decimal("0.47"), Decimal("0.475"))
    assert (dose.syringe, dose.needle, dose.needle_state) == (
        "1 mL syringe", "14 gauge, 75 mm", "dry",
    )  # fmt: skip
    assert treatment.dose_id == dose.dose_id
    assert (treatment.birds, treatment.sex, treatment.ring, treatment.cage) == (1, None, None, None)
    assert (treatment.product, treatment.water, treatment.label_dose) == (
        Decimal(1), Decimal(9), "0.5 mL/kg",
    )  # fmt: skip


def test_the_eye_is_told_what_an_unprimed_needle_would_do():
    behind = begun().say("cockatiel 95").reply.for_eye
    assert "needle 14 gauge, 75 mm holds 0.2 mL: unprimed, only 0.27 mL would reach" in behind
