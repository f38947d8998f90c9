"""How it talks, and which tone belongs to what."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.conversation.manner import MEANINGS
from assistant.conversation.turn import Cue, Status, Turn
from assistant.language.heard import Channel, Heard
from tests.talk_scene import Talk, begun


def spoken(words: str, confidence: float = 1.0) -> Heard:
    """Heard by an ear."""
    return Heard(words, confidence=confidence, channel=Channel.VOICE)


def hear(talk: Talk, words: str, confidence: float = 1.0) -> Turn:
    """Say it aloud."""
    return talk.say(heard=spoken(words, confidence))


def test_the_pace_goes_two_steps_either_way_and_no_further():
    talk = begun()
    said = [talk.say(one).reply.said for one in ["speak slower"] * 3 + ["speak faster"] * 5]
    assert said == [
        *["I speak slower now."] * 2,
        "I cannot speak any slower.",
        *["I speak faster now."] * 4,
        "I cannot speak any faster.",
    ]
    assert talk.state.manner.pace == 2


@pytest.mark.parametrize(("words", "steps"), [("speak louder", 1), ("speak softer", -1)])
def test_louder_and_softer_are_kept(words: str, steps: int):
    talk = begun()
    talk.say(words, "cockatiel 95", "given", "budgie 31")
    assert talk.state.manner.loudness == steps


@pytest.mark.parametrize("words", ["short answers", "full answers", "speak slower", "say again"])
def test_what_changes_only_the_talk_is_done_without_a_question(words: str):
    talk = begun()
    talk.say("cockatiel 95")
    for confidence, status in ((0.6, Status.COMMAND), (0.4, Status.IGNORED)):
        doubtful = replace(spoken(words, confidence), doubtful=True)
        assert talk.say(heard=doubtful).status is status


def test_how_it_talks_is_not_what_is_said_again():
    talk = begun()
    dose = talk.say("cockatiel 95")
    talk.say("speak louder")
    assert talk.say("say again").reply == dose.reply


def test_every_tone_is_explained():
    talk = begun()
    said = talk.say("what do the tones mean").reply.said
    assert all(meaning in said for meaning in MEANINGS.values())
    assert set(MEANINGS) == set(Cue)


def test_an_end_that_is_kept_has_the_tone_for_it_and_a_dose_has_none():
    talk = begun()
    assert hear(talk, "cockatiel ninety five grams").cue is None
    assert hear(talk, "no eighty five").cue is None, "a corrected weight is a new dose"
    assert hear(talk, "given").cue is Cue.LOGGED


def test_while_paused_only_what_is_surely_for_us_gets_the_tone_and_nothing_is_done():
    talk = begun()
    talk.say("cockatiel 95", "stop listening")
    sure, doubtful = hear(talk, "given"), hear(talk, "given", 0.3)
    assert (sure.cue, sure.status, doubtful.cue) == (Cue.PAUSED, Status.IGNORED, None)
    assert hear(talk, "").cue is None
    assert talk.state.open_dose is not None
    assert hear(talk, "start listening").reply.said.startswith("The dose for Cockatiel")


def test_an_unlikely_answer_to_a_question_asks_to_be_said_again_by_a_tone():
    talk = begun()
    talk.say("cockatiel 45")
    assert hear(talk, "yes", 0.05).cue is Cue.NOT_UNDERSTOOD
    talk.say("no", "scratch that")
    assert hear(talk, "yes", 0.05).cue is None
