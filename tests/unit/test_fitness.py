"""Light, young and ill birds, and full crops: asked about or refused before any volume."""

from __future__ import annotations

from datetime import timedelta

import pytest

from assistant.conversation.entries import DoseEnd, DoseEndEntry, NoteEntry
from assistant.conversation.reminding import TEXTS
from assistant.conversation.turn import Status
from assistant.dosing.reminders import Reminder
from tests.dosing_scene import medicine
from tests.talk_scene import Talk, begun, setting


def test_a_bird_under_the_adult_range_is_asked_about_first():
    turn = begun().say("cockatiel 70")
    assert (turn.status, turn.reason) == (Status.ASKED, "light")
    assert turn.reply.said == (
        "Cockatiel, 70 grams, seven zero, is light: usually 80 to 125 grams. Young, ill, or "
        "weighed wrong? Say young bird, sick bird, healthy adult, or the right weight."
    )
    assert begun().say("cockatiel 80").status is Status.ANSWERED


@pytest.mark.parametrize(
    ("answer", "status", "reason"),
    [("healthy adult", Status.ANSWERED, None), ("90", Status.ANSWERED, None),
     ("no, ninety", Status.ANSWERED, None), ("young bird", Status.ASKED, "young"),
     ("sick bird", Status.ASKED, "vet"), ("yes", Status.ASKED, "light"),
     ("no", Status.ASKED, "light")],
)  # fmt: skip
def test_only_what_settles_it_goes_on(answer: str, status: Status, reason: str | None):
    turn = begun().say("cockatiel 70", answer)
    assert (turn.status, turn.reason) == (status, reason)


def test_a_bird_far_below_its_own_last_weight_is_asked_about():
    talk = begun()
    talk.say("pepper 110", "given")
    talk.at += timedelta(days=12)
    turn = talk.say("pepper 99")
    assert turn.reason == "light"
    assert "is light: 110 grams on 1 March. Young, ill" in turn.reply.said
    assert talk.say("100").status is Status.ANSWERED, "less than a tenth lost"


def test_a_light_bird_that_lost_weight_hears_of_both():
    talk = begun()
    talk.say("pepper 110", "given")
    talk.at += timedelta(days=12)
    said = talk.say("pepper 70").reply.said
    assert "is light: usually 80 to 125 grams, and 110 grams on 1 March. Young, ill" in said


def test_a_bird_far_above_its_own_last_weight_may_have_been_misheard():
    talk = begun()
    talk.say("pepper 90", "given")
    talk.at += timedelta(days=12)
    turn = talk.say("pepper 110")
    assert turn.reason == "odd_weight"
    assert turn.reply.said.startswith("Pepper, Cockatiel, 110 grams? It was 90 grams")
    assert talk.say("yes").facts.grams == 110


@pytest.mark.parametrize("phrase", ["cockatiel chick 95", "young cockatiel 95", "baby tiel 40",
                                    "cockatiel chick"])  # fmt: skip
def test_chicks_get_nothing_that_the_file_does_not_allow_for_them(phrase: str):
    turn = begun().say(phrase)
    assert (turn.status, turn.reason) == (Status.ASKED, "young")
    assert "not confirmed for chicks and unweaned birds" in turn.reply.said
    assert Talk(setting(one_shot=True)).say(phrase).reason == "young"


def test_chicks_are_dosed_where_the_confirmed_file_allows_it():
    turn = begun(medicine(for_chicks=True)).say("cockatiel chick 70")
    assert turn.status is Status.ANSWERED


def test_an_ill_bird_is_dosed_only_on_the_vets_word():
    talk = begun()
    turn = talk.say("sick cockatiel 95")
    assert turn.reply.said == (
        "Cockatiel: an ill bird. Has the vet said to dose it? Say yes, or no."
    )
    assert talk.say("no").reason == "vet"
    assert talk.state.pending is None
    assert talk.say("sick cockatiel 95", "yes").status is Status.ANSWERED


def test_the_needle_is_changed_after_an_ill_bird():
    talk = begun()
    first = talk.say("sick cockatiel 95", "yes")
    assert TEXTS[Reminder.CHANGE] not in first.reply.said
    assert talk.say("given").reply.said.endswith(TEXTS[Reminder.CHANGE])
    assert TEXTS[Reminder.CHANGE] not in talk.say("budgie 31", "given").reply.said


def test_what_is_told_of_a_bird_voids_its_open_dose():
    talk = begun()
    turn = talk.say("cockatiel 95", "young bird")
    assert turn.reason == "young"
    assert turn.reply.said.startswith("Do not give the 0.47 mL. No dose.")
    assert talk.state.pending is None
    turn = talk.say("cockatiel 95", "sick bird")
    assert turn.reason == "vet"
    assert talk.say("yes").status is Status.ANSWERED


def test_what_was_told_holds_for_another_weight_of_the_same_bird():
    talk = begun(medicine(for_chicks=True))
    talk.say("cockatiel chick 95", "no, eighty five")
    assert talk.state.answered is not None
    assert talk.state.answered.conditions


@pytest.mark.parametrize(
    ("phrase", "said"),
    [("full crop", "Come back to it when its crop is empty."),
     ("slow crop", "Come back to it when its crop is empty."),
     ("sour crop", "is for the vet."), ("crop is not emptying", "is for the vet.")],
)  # fmt: skip
def test_a_crop_that_is_not_empty_ends_an_open_dose_as_not_given(phrase: str, said: str):
    talk = begun()
    turn = talk.say("cockatiel 95", phrase)
    assert turn.reply.said.startswith("Not given: Cockatiel, 95 grams, 0.47 mL.")
    assert turn.reply.said.endswith(said)
    ends = [entry for entry in turn.entries if isinstance(entry, DoseEndEntry)]
    assert [end.end for end in ends] == [DoseEnd.NOT_GIVEN]
    assert talk.state.pending is None


def test_a_full_crop_drops_the_bird_that_is_asked_about():
    talk = begun()
    turn = talk.say("cockatiel 200", "full crop")
    assert turn.reply.said.startswith("No dose into a full crop.")
    assert [e.text for e in turn.entries if isinstance(e, NoteEntry)] == ["Cockatiel, 200 grams"]
    assert talk.say("yes").facts.dose is None


def test_a_bird_with_a_sour_crop_gets_nothing_in_this_round():
    talk = begun()
    assert talk.say("pepper 95", "sour crop", "pepper 95").reason == "emergency"
    assert begun().say("pepper 95", "full crop", "pepper 95").status is Status.ANSWERED
