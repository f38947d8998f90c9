"""Ignoring well: what gets no answer, when it says how to get help, and the attention word."""

from __future__ import annotations

from datetime import timedelta

import pytest

from assistant.conversation.patience import PAUSE, UNUSABLE_FOR, UNUSABLE_IN_A_ROW
from assistant.conversation.turn import Status, Turn
from assistant.language.heard import Channel, Heard
from tests.talk_scene import Talk, begun, setting

NOTHING = Heard("", 0.0, channel=Channel.VOICE, engine="test ear")


def sure(words: str) -> Heard:
    return Heard(words, 0.97, channel=Channel.VOICE, engine="test ear")


def doubtful(words: str, belief: float) -> Heard:
    return Heard(words, belief, (), Channel.VOICE, "test ear", doubtful=True)


def hear(talk: Talk, *utterances: Heard, after_s: float = 5) -> Turn:
    """The turn after the last utterance, each so many seconds after the one before."""
    turn = None
    for one in utterances:
        talk.at += timedelta(seconds=after_s - 20)  # the scene adds its twenty seconds
        turn = talk.say(heard=one)
    assert turn is not None
    return turn


@pytest.mark.parametrize(
    ("words", "belief"),
    [("yes", 0.97), ("no", 0.97), ("given", 0.9), ("one", 0.75), ("diamond", 0.9),
     ("grams", 0.9), ("no eighty five", 0.9), ("goodbye", 0.4), ("help", 0.4),
     ("bag is twelve", 0.4), ("galah three thirty", 0.09)],
)  # fmt: skip
def test_in_doubt_what_asks_for_nothing_gets_no_answer(words: str, belief: float):
    talk = begun()
    before = talk.state
    turn = hear(talk, doubtful(words, belief))
    assert (turn.status, turn.silent) == (Status.IGNORED, True)
    assert (talk.state.question, talk.state.pending) == (before.question, before.pending)


@pytest.mark.parametrize(
    ("words", "belief"),
    [("galah three thirty", 0.1), ("goodbye", 0.5), ("bag is twelve", 0.5), ("new needle", 0.5)],
)
def test_in_doubt_what_asks_for_something_is_asked_about(words: str, belief: float):
    assert hear(begun(), doubtful(words, belief)).status is Status.ASKED


def test_a_command_that_only_has_something_said_is_carried_out_or_ignored_but_not_asked_about():
    assert hear(begun(), doubtful("which needle", 0.5)).status is Status.COMMAND


def test_a_bird_in_doubt_is_believed_less_while_a_dose_is_open():
    talk = begun()
    hear(talk, sure("cockatiel ninety five"))
    assert hear(talk, doubtful("budgie thirty one", 0.4)).silent
    assert hear(talk, doubtful("budgie thirty one", 0.5)).reason == "open_dose"


def test_an_answer_in_doubt_is_asked_about_while_its_question_is_open():
    talk = begun()
    assert hear(talk, sure("cockatiel"), doubtful("ninety five", 0.1)).reason == "heard"
    hear(talk := begun(), doubtful("cockatiel ninety five", 0.6))
    assert hear(talk, doubtful("yes", 0.1)).reply.said == "Was that yes or no?"


def test_a_sure_yes_beside_an_open_dose_still_says_which_word_ends_it():
    talk = begun()
    hear(talk, sure("cockatiel ninety five"))
    assert "say given" in hear(talk, sure("yes")).reply.said


def test_after_some_unusable_utterances_it_says_once_how_to_get_help():
    talk = begun()
    assert hear(talk, *[NOTHING] * (UNUSABLE_IN_A_ROW - 1)).silent
    turn = hear(talk, NOTHING)
    assert not turn.silent
    assert turn.reply.said == "I cannot make that out. Say help, or type it."
    assert all(hear(talk, NOTHING).silent for _ in range(3 * UNUSABLE_IN_A_ROW))


def test_it_says_so_again_only_after_something_was_heard_surely():
    talk = begun()
    hear(talk, *[NOTHING] * UNUSABLE_IN_A_ROW)
    hear(talk, doubtful("goodbye", 0.6))
    assert hear(talk, *[NOTHING] * UNUSABLE_IN_A_ROW).silent
    hear(talk, sure("which needle"))
    assert not hear(talk, *[NOTHING] * UNUSABLE_IN_A_ROW).silent


def test_a_minute_of_sound_without_sense_is_enough():
    talk = begun()
    seconds = UNUSABLE_FOR.total_seconds() / 2
    assert hear(talk, NOTHING, NOTHING, after_s=seconds).silent
    assert not hear(talk, NOTHING, after_s=seconds).silent


def test_a_cry_now_and_then_is_not_somebody_who_wants_help():
    pause = PAUSE.total_seconds() + 1
    assert hear(begun(), *[NOTHING] * 20, after_s=pause).silent


def test_it_says_nothing_while_it_is_not_listening():
    talk = begun()
    hear(talk, sure("stop listening"))
    assert hear(talk, *[NOTHING] * 10).silent


def called() -> Talk:
    """A round with an attention word."""
    talk = Talk(setting(attention="marlow"))
    talk.say("yes")
    return talk


@pytest.mark.parametrize("words", ["marlow cockatiel ninety five", "cockatiel ninety five marlow"])
def test_with_an_attention_word_an_order_begins_or_ends_with_it(words: str):
    assert hear(called(), sure(words)).status is Status.ANSWERED


@pytest.mark.parametrize("words", ["cockatiel ninety five", "help", "goodbye", "galah"])
def test_without_its_attention_word_an_order_is_ignored(words: str):
    turn = hear(called(), sure(words))
    assert (turn.status, turn.reason) == (Status.IGNORED, "not_addressed")


def test_an_answer_needs_no_attention_word_for_a_while():
    talk = called()
    hear(talk, sure("marlow cockatiel"))
    assert hear(talk, sure("ninety five"), after_s=20).facts.grams == 95
    talk = called()
    hear(talk, sure("marlow cockatiel"))
    assert hear(talk, sure("ninety five"), after_s=60).silent
    assert hear(talk, sure("marlow ninety five"), after_s=60).facts.grams == 95


def test_an_open_dose_is_ended_or_put_right_without_the_attention_word():
    talk = called()
    hear(talk, sure("marlow cockatiel ninety five"))
    assert hear(talk, sure("no eighty five"), after_s=90).facts.grams == 85
    assert hear(talk, sure("help"), after_s=90).silent
    assert hear(talk, sure("given"), after_s=90).reply.said.startswith("Given:")
    assert hear(talk, sure("given"), after_s=90).silent


def test_typed_words_need_no_attention_word_and_may_have_it():
    assert called().say("cockatiel 95").status is Status.ANSWERED
    assert called().say("Marlow, cockatiel 95").status is Status.ANSWERED


def test_the_attention_word_is_in_the_sentence_about_help():
    turn = hear(called(), *[NOTHING] * UNUSABLE_IN_A_ROW)
    assert turn.reply.said == "I cannot make that out. Say marlow, help, or type it."
