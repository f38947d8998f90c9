"""Cautions for birds in some condition, and two medicines for one bird on the same day."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from assistant.conversation.turn import Status
from assistant.dosing import limits
from assistant.dosing.condition import Condition, condition_named
from assistant.dosing.dose import work_out
from assistant.dosing.medicine import Medicine
from assistant.dosing.refusal import Reason, Refusal
from tests.dosing_scene import medicine, request, tools
from tests.talk_scene import Talk, begun, setting


def second(**changes: Any) -> Medicine:  # noqa: ANN401 - each test names a key of the file
    """A second invented medicine."""
    return medicine(name="Thistle Demo", active="fictamycin", **changes)


def both_on_one_day(bird: str, **changes: Any) -> Talk:  # noqa: ANN401 - the same
    """A bird that had the first medicine, and a round of the second one on the same day."""
    talk = begun(medicine(), second(**changes))
    talk.say(f"{bird} 95", "given", "switch to thistle demo", "new needle", "yes")
    return talk


def test_a_second_medicine_on_the_same_day_is_refused():
    turn = both_on_one_day("pepper").say("pepper 95")
    assert (turn.status, turn.reason) == (Status.ASKED, "second_medicine")
    assert turn.reply.said == (
        "No dose. Pepper had 0.47 mL of Marigold Demo today. No file confirms Marigold Demo and "
        "Thistle Demo for one bird on the same day. Ask the vet."
    )


def test_it_is_asked_about_where_the_confirmed_file_allows_both():
    talk = both_on_one_day("pepper", same_day_as=["Marigold Demo"])
    turn = talk.say("pepper 95")
    assert turn.reason == "second"
    assert talk.say("yes").status is Status.ANSWERED
    assert (
        "Dropped"
        in both_on_one_day("pepper", same_day_as=["Marigold Demo"])
        .say("pepper 95", "no")
        .reply.said
    )


def test_both_together_must_fit_the_crop():
    # a crop of 95 g takes 95 × 50 / 1000 / 4 = 1.1875 mL; 0.47 mL and 0.8 × 0.95 mL are more
    talk = both_on_one_day("pepper", same_day_as=["Marigold Demo"], dose="0.8 mL/kg")
    turn = talk.say("pepper 95", "yes")
    assert turn.reason == "crop"
    assert "With the 0.47 mL of today that is too much" in turn.reply.said


def test_the_crop_limit_counts_what_was_given_before():
    grams = Decimal(95)
    assert limits.over_crop(Fraction("0.2"), grams) is None
    refusal = limits.over_crop(Fraction("0.2"), grams, Decimal(1))
    assert refusal is not None
    assert refusal.reason is Reason.CROP
    outcome = work_out(request("95", before_ml=Decimal(1)), tools())
    assert isinstance(outcome, Refusal), "the working out of a dose has the limit too"


def test_a_bird_without_a_name_is_asked_whether_it_had_the_other_one():
    talk = both_on_one_day("cockatiel")
    turn = talk.say("cockatiel 95")
    assert turn.reason == "second"
    assert "Did this one have it too?" in turn.reply.said
    assert talk.say("yes").reason == "second_medicine"
    assert talk.say("cockatiel 95", "no").status is Status.ANSWERED
    assert talk.say("given", "budgie 31").status is Status.ANSWERED, "no budgerigar had it"


@pytest.mark.parametrize(
    ("words", "condition"),
    [("breeding birds", Condition.BREEDING), ("Laying hens", Condition.BREEDING),
     ("chicks", Condition.YOUNG), ("moult", Condition.MOULTING), ("ill", Condition.ILL),
     ("cockatiel", None), ("parrot", None)],
)  # fmt: skip
def test_a_caution_may_be_for_a_condition(words: str, condition: Condition | None):
    assert condition_named(words) is condition


def cautioned(applies_to: str, *, refuse: bool = False) -> Medicine:
    caution = {"for": applies_to, "say": "Seen to stop laying.", "refuse": refuse}
    return medicine(cautions=[caution])


def test_breeding_is_asked_once_for_all_birds_where_none_is():
    talk = begun(cautioned("breeding birds"))
    turn = talk.say("cockatiel 95")
    assert turn.reply.said == (
        "Caution for breeding birds: Seen to stop laying. Is any bird here breeding?"
    )
    assert talk.say("no").status is Status.ANSWERED
    assert talk.say("given", "budgie 31").status is Status.ANSWERED


def test_where_some_are_breeding_each_bird_is_asked_about():
    talk = begun(cautioned("breeding birds"))
    assert talk.say("cockatiel 95", "yes").reply.said == "Cockatiel: is this one breeding?"
    assert talk.say("no").status is Status.ANSWERED
    assert talk.say("given", "budgie 31").reason == "condition"
    turn = talk.say("yes")
    assert turn.reason == "caution"
    assert talk.say("yes").status is Status.ANSWERED


def test_a_caution_for_a_condition_can_refuse():
    talk = begun(cautioned("moulting birds", refuse=True))
    assert talk.say("cockatiel 95", "yes", "yes").reason == "caution"
    assert talk.say("moulting budgie 31").reason == "caution"


def test_a_caution_for_a_group_meets_every_bird_of_it():
    talk = begun(cautioned("parrot"))
    assert talk.say("cockatiel 95").reason == "caution"
    assert talk.say("yes", "given", "zebra finch 12").status is Status.ANSWERED


def test_a_single_phrase_says_the_caution_for_a_condition():
    turn = Talk(setting(cautioned("breeding birds"), one_shot=True)).say("cockatiel 95")
    assert turn.status is Status.ANSWERED
    assert "Caution: For breeding birds: Seen to stop laying." in turn.reply.said
