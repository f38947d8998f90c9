"""A bird that coughs, has fluid at the nose, or may have had too much: one line, at any moment."""

from __future__ import annotations

import pytest

from assistant.conversation.emergency import EMERGENCY
from assistant.conversation.entries import DoseEndEntry, NoteEntry
from assistant.conversation.reminding import TEXTS
from assistant.conversation.turn import Status
from assistant.dosing.reminders import Reminder
from assistant.language.heard import Channel, Heard
from assistant.language.requests import Intent
from tests.talk_scene import Talk, begun, setting

SPOKEN = ["it's coughing", "emergency", "fluid at the nose", "too much", "gave too much"]


TYPED = [
    "the bird is coughing", "help it's choking", "she can't breathe", "bird not breathing",
    "it went down the wrong way", "this one collapsed", "he has stopped breathing",
    "it's bleeding", "fluid from its nostrils", "bubbles at the nose", "it's foaming",
    "medicine coming out of his nose", "i gave him way too much", "i've overdosed her",
    "he's swallowed the needle", "my needle broke off in her crop",
    "its tail is bobbing", "tail bobbing", "she's breathing with her beak open", "now it's panting",
    "he's gone quiet and limp", "there's blood on his beak", "it is bleeding from the throat",
    "i gave him almost double", "she's had more than she should", "i've given it to the wrong one",
    "overdose", "gave it a double dose", "it has had too much", "i gave it the wrong dose",
]  # fmt: skip


def doubtful(words: str, confidence: float) -> Heard:
    return Heard(words, confidence, channel=Channel.VOICE, engine="test ear", doubtful=True)


@pytest.mark.parametrize("phrase", SPOKEN)
@pytest.mark.parametrize(
    "before",
    [(), ("yes",), ("yes", "cockatiel"), ("yes", "cockatiel 95"), ("yes", "cockatiel 95", "next"),
     ("yes", "cockatiel 95", "given"), ("yes", "switch to thistle"),
     ("yes", "cockatiel 95", "stop listening")],
)  # fmt: skip
def test_the_line_is_said_at_any_moment_and_nothing_else(phrase: str, before: tuple[str, ...]):
    talk = Talk(setting())
    turn = talk.say("help", *before, phrase)
    assert (turn.status, turn.intent) == (Status.COMMAND, Intent.EMERGENCY)
    assert turn.reply.said == EMERGENCY
    assert talk.say("say again").reply.said == EMERGENCY


@pytest.mark.parametrize("phrase", TYPED)
def test_somebody_in_alarm_need_not_know_the_phrase(phrase: str):
    assert Talk(setting()).say("yes", "cockatiel 95", phrase).reply.said == EMERGENCY


def test_it_is_logged_with_the_dose_that_was_open():
    talk = begun()
    turn = talk.say("pepper 95", "it's coughing")
    notes = [entry for entry in turn.entries if isinstance(entry, NoteEntry)]
    assert [(note.kind, note.text) for note in notes] == [
        ("emergency", "coughing: r1-1, Pepper, Cockatiel, 95 grams, 0.47 mL")
    ]
    assert talk.state.pending is not None, "how it ended is still to be told"


def test_a_bird_with_an_emergency_gets_nothing_more_in_this_round():
    talk = begun()
    talk.say("pepper 95", "it's coughing", "not given")
    turn = talk.say("pepper 95")
    assert (turn.status, turn.reason) == (Status.ASKED, "emergency")
    assert "nothing more by mouth" in turn.reply.said


@pytest.mark.parametrize("phrase", ["no, eighty five", "twelve gauge needle"])
def test_an_open_dose_is_not_worked_out_anew_after_an_emergency(phrase: str):
    talk = begun()
    turn = talk.say("cockatiel 95", "fluid at the nose", phrase)
    assert turn.reason == "emergency"
    assert turn.facts.dose is None
    assert not [entry for entry in turn.entries if isinstance(entry, DoseEndEntry)]


def test_the_needle_is_changed_before_the_next_bird():
    talk = begun()
    turn = talk.say("cockatiel 95", "it's coughing", "part given")
    assert turn.reply.said.endswith(TEXTS[Reminder.CHANGE])
    talk.say("new needle")
    assert TEXTS[Reminder.CHANGE] not in talk.say("budgie 31").reply.said


def test_a_clean_needle_is_not_asked_for_twice():
    talk = begun()
    turn = talk.say("cockatiel 95", "it's coughing", "new needle", "part given")
    assert TEXTS[Reminder.CHANGE] not in turn.reply.said


def test_it_needs_no_attention_word():
    talk = Talk(setting(attention="marlow"))
    talk.say("marlow yes")
    heard = Heard("it's coughing", channel=Channel.VOICE, engine="test ear")
    assert talk.say(heard=heard).reply.said == EMERGENCY


def test_in_doubt_it_is_said_asked_about_or_left():
    talk = begun()
    assert talk.say(heard=doubtful("it's coughing", 0.6)).reply.said == EMERGENCY
    assert talk.say(heard=doubtful("it's coughing", 0.3)).status is Status.IGNORED
    talk.say("cockatiel 95")
    turn = talk.say(heard=doubtful("it's coughing", 0.3))
    assert turn.reply.said == "Did you say it's coughing?"
    assert talk.say("yes").reply.said == EMERGENCY


@pytest.mark.parametrize(
    "words",
    [
        "i gave him 2 mls",
        "i've given her 3 not 1.6",
        "he got two instead of one point six",
        "had 1.8",
    ],
)
@pytest.mark.parametrize("end", [(), ("given",)])
def test_more_than_the_dose_is_too_much_before_its_end_and_after(words: str, end: tuple[str, ...]):
    talk = begun()
    talk.say("galah 330", *end)
    turn = talk.say(words)
    assert turn.reply.said == EMERGENCY
    assert not any(isinstance(row, DoseEndEntry) for row in turn.entries)
    assert talk.say("galah 330").facts.dose is None


@pytest.mark.parametrize("words", ["i gave him 1.6", "only gave him 0.8", "had 1.76", "gave it 95"])
def test_no_more_than_the_dose_and_what_no_syringe_holds_ask_how_it_ended(words: str):
    talk = begun()
    talk.say("galah 330")
    turn = talk.say(words)
    assert turn.reply.said.startswith("The dose for Galah, 330 grams, three three zero, 1.6 mL")
    assert not any(isinstance(row, DoseEndEntry) for row in turn.entries)


def test_how_much_was_given_says_nothing_where_no_dose_was():
    assert begun().say("i gave him 3").reply.said.startswith("No dose is open.")
