"""Reminders: short, at the right moment, after the volume, and only as often as set."""

from __future__ import annotations

from itertools import pairwise

import pytest

from assistant.conversation.reminding import TEXTS
from assistant.conversation.turn import Status
from assistant.dosing.kit import read_kit
from assistant.dosing.reminders import USUAL, Often, Reminder
from assistant.dosing.tables import FigureProblems
from tests.dosing_scene import medicine
from tests.talk_scene import Talk, begun, setting

KIT = {
    "keeper": "Demo Keeper",
    "scale_step": "1 g",
    "syringe": [{"capacity": "1 mL", "graduation": "0.01 mL"}],
    "needle": [{"gauge": 14, "length": "75 mm"}],
}


def kit_reminders(**words: str) -> dict[Reminder, Often]:
    return dict(read_kit({**KIT, "reminders": words}, "kit.toml").reminders)


def said_in(talk: Talk, one: Reminder) -> list[int]:
    """The turns in which a reminder was said, counted from 0."""
    return [place for place, turn in enumerate(talk.turns) if TEXTS[one] in turn.reply.said]


def five_birds(talk: Talk) -> Talk:
    for _ in range(5):
        talk.say("cockatiel 95", "given")
    return talk


def test_by_default_each_is_said_once_at_its_moment():
    talk = five_birds(begun())
    assert said_in(talk, Reminder.CROPS) == [0], "when the round begins"
    assert said_in(talk, Reminder.POT) == [0]
    assert said_in(talk, Reminder.TIP) == [1], "with the first dose"
    assert said_in(talk, Reminder.WIPE) == [2], "when the first bird is done"
    assert said_in(talk, Reminder.CHANGE) == [], "there is but one cage"


def test_a_new_round_is_reminded_again():
    talk = begun()
    talk.say("cockatiel 95", "given", "goodbye", "yes")
    assert said_in(talk, Reminder.CROPS) == [0, 4]


@pytest.mark.parametrize("one", [Reminder.TIP, Reminder.WIPE, Reminder.POT])
def test_one_that_is_set_to_every_bird_is_said_with_every_bird(one: Reminder):
    talk = five_birds(begun(reminders={**USUAL, one: Often.BIRD}))
    birds = [place for place in said_in(talk, one) if place]
    assert len(birds) == 5
    assert all(after - before == 2 for before, after in pairwise(birds))


def test_a_needle_that_is_to_be_changed_for_every_bird_is_primed_for_every_bird():
    talk = begun(reminders={**USUAL, Reminder.CHANGE: Often.BIRD})
    for _ in range(5):
        talk.say("new needle", "cockatiel 95")
        assert "Dry needle" in talk.turns[-1].reply.said
        talk.say("given")
    assert len(said_in(talk, Reminder.CHANGE)) == 5


@pytest.mark.parametrize("one", sorted(TEXTS))
def test_one_that_is_set_to_never_is_not_said(one: Reminder):
    talk = five_birds(begun(reminders={**USUAL, one: Often.NEVER}))
    assert said_in(talk, one) == []


def test_the_read_back_and_the_volume_come_before_any_reminder():
    talk = Talk(setting(reminders=dict.fromkeys(Reminder, Often.BIRD)))
    turn = talk.say("cockatiel 95", "yes")
    assert turn.status is Status.ANSWERED
    assert turn.reply.said.startswith("Cockatiel, 95 grams. 0.47 mL of Marigold Demo")
    for text in (TEXTS[Reminder.TIP], TEXTS[Reminder.CROPS], "Shake it."):
        assert turn.reply.said.index("0.47 mL") < turn.reply.said.index(text)


def test_no_reminder_follows_a_question():
    talk = begun()
    turn = talk.say("cockatiel 95", "budgie", "given")
    assert turn.reply.said.endswith("weigh this bird.")
    assert said_in(talk, Reminder.WIPE) == []
    talk.say("31", "given")
    assert said_in(talk, Reminder.WIPE) == [5], "it was put off, not forgotten"


def test_a_suspension_is_shaken_for_each_draw_before_the_priming():
    said = five_birds(begun()).say("cockatiel 95").reply.said
    assert "0.47 mL. Shake it. Needle full: draw to 0.47 mL only." in said


@pytest.mark.parametrize(
    ("changes", "shaken"),
    [({"form": "solution"}, False), ({"form": "solution", "shake": True}, True),
     ({"form": "suspension", "shake": False}, False)],
)  # fmt: skip
def test_the_medicine_says_whether_it_is_shaken(changes: dict[str, object], shaken: bool):  # noqa: FBT001 - one column
    said = begun(medicine(**changes)).say("cockatiel 95").reply.said
    assert ("Shake it." in said) is shaken


def test_the_kit_says_how_often():
    assert kit_reminders(shake="round", tip="bird") == {
        **USUAL, Reminder.SHAKE: Often.ROUND, Reminder.TIP: Often.BIRD,
    }  # fmt: skip
    assert dict(read_kit(KIT, "kit.toml").reminders) == USUAL


@pytest.mark.parametrize("words", [{"tip": "always"}, {"feet": "bird"}])
def test_what_is_no_reminder_or_no_word_for_it_is_told(words: dict[str, str]):
    with pytest.raises(FigureProblems) as caught:
        kit_reminders(**words)
    assert next(iter(words)) in str(caught.value)
