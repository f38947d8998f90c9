"""An answer that was stopped before its volume was out is said again before it is given."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.conversation.cutting import cut_short, vital_length, voiced
from assistant.conversation.entries import DoseEndEntry
from assistant.conversation.turn import Cue, Status, Turn
from assistant.language.heard import Channel, Heard
from tests.talk_scene import Talk, begun


def spoken(words: str) -> Heard:
    """Heard surely by an ear."""
    return Heard(words, confidence=1.0, channel=Channel.VOICE)


def stopped(talk: Talk) -> Turn:
    """The last turn, stopped before what is vital in it was out."""
    turn = talk.turns[-1]
    talk.state = cut_short(talk.state, turn.reply)
    return turn


def out(talk: Talk) -> None:
    """All of the last turn was heard."""
    talk.state = voiced(talk.state, talk.turns[-1].reply)


@pytest.mark.parametrize("word", ["given", "part given"])
def test_a_dose_that_was_cut_is_said_again_before_it_counts_as_given(word: str):
    talk = begun()
    talk.say("cockatiel 95")
    dose = stopped(talk)
    turn = talk.say(heard=spoken(word))
    assert turn.status is Status.ASKED
    assert turn.reply.said == f"First hear all of it. {dose.reply.said}"
    assert talk.state.open_dose is not None
    out(talk)
    assert any(isinstance(row, DoseEndEntry) for row in talk.say(heard=spoken(word)).entries)


def test_cut_again_it_is_said_again_again_and_once_only():
    talk = begun()
    talk.say("cockatiel 95")
    stopped(talk)
    first = talk.say(heard=spoken("given"))
    stopped(talk)
    assert talk.say(heard=spoken("given")).reply == first.reply


@pytest.mark.parametrize("word", ["not given", "don't know", "scratch that"])
def test_ends_that_trust_nothing_to_the_volume_are_taken_at_once(word: str):
    talk = begun()
    talk.say("cockatiel 95")
    stopped(talk)
    talk.say(heard=spoken(word))
    assert talk.state.open_dose is None


def test_a_question_that_was_cut_gets_no_yes():
    talk = begun()
    asked = talk.say("cockatiel about 95")
    stopped(talk)
    assert talk.say(heard=spoken("yes")).reply.said.endswith(asked.reply.said)
    out(talk)
    assert talk.say(heard=spoken("yes")).status is Status.ANSWERED


def test_the_next_bird_needs_nothing_of_what_was_cut():
    talk = begun()
    talk.say("cockatiel 95")
    stopped(talk)
    talk.say(heard=spoken("scratch that"))
    assert talk.say(heard=spoken("budgie thirty one grams")).status is Status.ANSWERED
    out(talk)
    assert talk.say(heard=spoken("given")).cue is Cue.LOGGED


def test_what_is_typed_counts_since_it_was_read():
    talk = begun()
    talk.say("cockatiel 95")
    stopped(talk)
    assert talk.say("given").reply.said.startswith("Given: ")


def test_say_again_brings_the_whole_dose_and_makes_it_known():
    talk = begun()
    dose = talk.say("cockatiel 95")
    stopped(talk)
    assert talk.say(heard=spoken("say again")).reply == dose.reply
    out(talk)
    assert talk.say(heard=spoken("given")).cue is Cue.LOGGED


def test_the_volume_and_the_priming_are_vital_and_the_rest_is_not():
    talk = begun()
    turn = talk.say("cockatiel 95")
    vital = turn.reply.said[: vital_length(turn.reply.said, talk.state)]
    assert vital.endswith("stop at 0.47 mL.")
    full = replace(talk.state, pending=None, question=None)
    assert vital_length(turn.reply.said, full) == 0


def test_stop_says_whether_anything_was_missed():
    talk = begun()
    talk.say("cockatiel 95")
    assert talk.say(heard=spoken("stop")).reply.said == "Stopped."
    stopped(talk)
    talk.state = cut_short(talk.state, talk.turns[-2].reply)
    said = talk.say(heard=spoken("stop")).reply.said
    assert said == "Stopped before the end. Say again to hear all of it."
    assert talk.state.listening
