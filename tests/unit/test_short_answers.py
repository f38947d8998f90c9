"""Short answers: fewer words, and nothing missing that a bird depends on."""

from __future__ import annotations

from assistant.conversation.cutting import vital_length
from assistant.conversation.dose_reply import FICTIONAL
from assistant.conversation.speech import speakable
from tests.talk_scene import Talk, begun


def short() -> Talk:
    """A round in which short answers were asked for."""
    talk = begun()
    assert talk.say("short answers").reply.said == "Short answers."
    return talk


def test_the_first_answer_has_its_read_back_volume_priming_and_that_it_is_invented():
    said = short().say("cockatiel 95").reply.said
    assert said.startswith(
        "Cockatiel, 95 grams. 0.47 mL of Marigold Demo. 1 mL syringe. Shake. Dry needle: draw "
        "to 0.68, fit, tip up, air out, stop at 0.47 mL. Demo medicine."
    )


def test_with_a_full_needle_the_answer_is_a_breath_long():
    talk = short()
    talk.say("cockatiel 95", "given")
    said = talk.say("budgie 31").reply.said
    assert said == "Budgerigar, 31 grams. 0.15 mL. Shake. Needle full. Demo medicine."
    assert said[: vital_length(said, talk.state)] == "Budgerigar, 31 grams. 0.15 mL."


def test_the_eye_gets_all_of_it():
    shown = short().say("cockatiel 95").reply.for_eye
    assert FICTIONAL in shown
    assert "Dry needle: draw to 0.68 mL, fit it, tip up" in shown


def test_full_answers_bring_the_words_back():
    talk = short()
    talk.say("full answers")
    assert FICTIONAL in talk.say("cockatiel 95").reply.said


def test_a_rinsed_needle_is_explained_as_ever():
    talk = short()
    talk.say("rinsed the needle")
    assert "Rinsed needle: rinse it clear, empty it" in talk.say("cockatiel 95").reply.said


def test_a_first_answer_in_full_takes_few_enough_words_to_be_heard_out():
    """At 165 words a minute; the reminders after the first answer of a round are not in it."""
    talk = begun()
    said = speakable(talk.say("cockatiel 95").reply.said).partition(" Feel the tip")[0]
    assert len(said.split()) < 60
