"""What is said when the microphone is back."""

from __future__ import annotations

from datetime import timedelta

from assistant.conversation.entries import NoteEntry
from assistant.conversation.moment import Moment
from assistant.conversation.returning import returned
from assistant.conversation.state import Ask
from assistant.conversation.turn import Turn
from tests.talk_scene import Talk, begun


def back(talk: Talk, seconds: int) -> Turn:
    """The microphone was gone for so long."""
    moment = Moment(talk.setting, talk.at, None)
    talk.state, turn = returned(talk.state, moment, timedelta(seconds=seconds))
    return turn


def test_it_says_for_how_long_it_was_deaf_and_asks_to_hear_it_again():
    talk = begun()
    assert back(talk, 1).reply.said == "I can hear again. I could not for 1 second. Say it again."
    assert "I could not for 40 seconds" in back(talk, 40).reply.said
    assert "I could not for one minute." in back(talk, 61).reply.said
    assert "I could not for two minutes." in back(talk, 130).reply.said


def test_an_open_dose_is_said_as_a_reminder_and_asked_about():
    talk = begun()
    talk.say("cockatiel 95")
    turn = back(talk, 120)
    assert "Cockatiel, 95 grams, 0.47 mL is still open. Was it given?" in turn.reply.said
    assert talk.state.asked(Ask.OPEN_DOSE)
    assert talk.say("given").reply.said.startswith("Given: Cockatiel")


def test_an_open_question_is_put_again():
    talk = begun()
    asked = talk.say("cockatiel about 95")
    assert back(talk, 20).reply.said.endswith(asked.reply.said)
    assert talk.say("yes").facts.dose is not None


def test_a_pause_stays_a_pause():
    talk = begun()
    talk.say("stop listening")
    assert back(talk, 20).reply.said.endswith("I am paused. Say start listening.")
    assert not talk.state.listening


def test_the_register_gets_a_note():
    (note,) = back(begun(), 75).entries
    assert isinstance(note, NoteEntry)
    assert (note.kind, note.text) == ("deaf", "75 s")
