"""Between the turns: what stands alone, what is mentioned, foreseen, spoken and waited for."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from assistant.conversation.cutting import voiced
from assistant.conversation.foreseeing import foreseen
from assistant.conversation.machine import ANSWER_WITHIN, UNGUARDED, unguarded
from assistant.conversation.mention import mention
from assistant.conversation.overtaking import not_taken, stands_alone
from assistant.conversation.speech import speakable
from assistant.conversation.state import Caged, Dosed, Dosings, caught_up
from assistant.conversation.turn import Reply
from assistant.language.heard import Channel, Heard
from tests.talk_scene import MORNING, begun, setting

ALONE = """cockatiel 95, help, how many done, how many left, which medicine, which needle,
which bag, say again, stop listening, stop, emergency, it's coughing, fluid at the nose,
which batch, what is in the pot, what is due, which cage"""

NOT_ALONE = """cockatiel, 95 grams, given, yes, no, next bird, needle is full, cage four, goodbye,
bag is twelve, another one, scratch that, shaken, hello there"""


@pytest.mark.parametrize("words", ALONE.replace("\n", " ").split(", "))
def test_a_query_or_a_whole_bird_means_the_same_whatever_was_said_before(words: str):
    assert stands_alone(Heard(words), setting())


@pytest.mark.parametrize("words", NOT_ALONE.replace("\n", " ").split(", "))
def test_what_answers_or_changes_something_does_not_stand_alone(words: str):
    assert not stands_alone(Heard(words), setting())


def test_what_was_overtaken_is_told_what_is_open_now():
    talk = begun()
    for phrase, now in (
        ("given", "No dose is open now."),
        ("cockatiel", "Cockatiel: what does it weigh? Usually 80 to 125 grams; weigh this bird."),
        ("95", "Open now: Cockatiel, 95 grams, 0.47 mL. Say it again if it still holds."),
    ):
        turn = talk.say(phrase)
        state, said = not_taken(talk.state, turn)
        assert state is talk.state
        assert said.reply.said == f"Not taken: something else was said first. {now}"


def test_a_reply_of_sixteen_words_is_mentioned_whole_and_a_longer_one_in_part():
    turn = begun().say("shaken")
    short = " ".join(["One."] * 16)
    assert mention(replace(turn, reply=Reply(short))) == f"Typed. {short}"
    longer = mention(replace(turn, reply=Reply(f"{short} One.")))
    assert longer == "Typed. One. Say again to hear all of it."


def test_the_end_of_the_open_dose_is_foreseen():
    talk = begun()
    assert foreseen(talk.state) == ("Stopped.",)
    talk.say("cockatiel 95")
    assert foreseen(talk.state) == ("Given: Cockatiel, 95 grams, 0.47 mL.", "Stopped.")


def test_an_answer_is_waited_for_from_the_end_of_the_question_on():
    talk = begun()
    turn = talk.say("cockatiel 95.5")
    words = len(speakable(turn.reply.said).split())
    assert talk.state.answer_by == talk.at + timedelta(seconds=words / 2.5) + ANSWER_WITHIN
    assert timedelta(seconds=20) == ANSWER_WITHIN
    talk.say("grams")
    assert talk.state.answer_by is None


@pytest.mark.parametrize(("late_s", "heeded"), [(0, True), (1, False)])
def test_an_answer_needs_its_word_once_the_time_is_over(late_s: int, *, heeded: bool):
    talk = begun(attention="marlow")
    talk.say("cockatiel")
    assert talk.state.answer_by is not None
    talk.at = talk.state.answer_by + timedelta(seconds=late_s - 20)
    turn = talk.say(heard=Heard("ninety five grams", 0.9, (), Channel.VOICE))
    assert (turn.facts.dose is not None) is heeded


def test_what_is_ignored_leaves_the_time_for_an_answer_as_it_was():
    talk = begun()
    talk.say("cockatiel")
    waited = talk.state.answer_by
    talk.say("hello there")
    assert talk.state.answer_by == waited is not None


def test_a_reply_that_nobody_cut_leaves_all_as_it_is():
    state = begun().state
    assert voiced(state, Reply("Cockatiel?")) is state


def test_a_dose_is_said_with_a_warning_where_earlier_ones_cannot_be_read():
    talk = begun()
    turn = unguarded(talk.say("cockatiel 95"))
    assert turn.reply.said.endswith(f" {UNGUARDED}")
    assert turn.reply.for_eye.endswith(f"\n{UNGUARDED}")
    given = talk.say("given")
    assert unguarded(given) is given


@pytest.mark.parametrize(
    ("shown", "said"),
    [
        ("1 kg", "one kilogram"), ("2 kg", "two kilograms"), ("1 %", "one percent"),
        ("1 mg", "one milligram"), ("3 mm", "three millimetres"), ("1 mL", "one millilitre"),
        ("80–125 g", "eighty to one hundred and twenty five grams"), ("“a” …", "a"),
        ("1 + 9", "one and nine"), ("2 × 3", "two by three"), ("mg/kg", "milligram per kilogram"),
        ("per mL", "per millilitre"),
    ],
)  # fmt: skip
def test_each_sign_and_unit_is_said_in_words(shown: str, said: str):
    assert speakable(shown) == said


DONE = Caged(MORNING, 3)
KEY = ("4", "Marigold Demo")


@pytest.mark.parametrize(
    ("known", "told", "on_paper", "then"),
    [
        (None, DONE, False, DONE),
        (replace(DONE, done=2), DONE, True, DONE),
        (replace(DONE, done=4), DONE, True, replace(DONE, done=4)),
        (replace(DONE, done=4), DONE, False, DONE),
        (DONE, replace(DONE, at=MORNING + timedelta(1)), True, Caged(MORNING + timedelta(1), 3)),
        (DONE, None, False, None),
        (DONE, None, True, DONE),
    ],
)
def test_a_cage_on_paper_is_never_taken_back_by_the_register(
    known: Caged | None, told: Caged | None, *, on_paper: bool, then: Caged | None
):
    state = replace(begun().state, caged={} if known is None else {KEY: known})
    after = caught_up(state, Dosings(1, {}, {KEY: told}), on_paper=on_paper)
    assert after.caged.get(KEY) == then


def test_a_dose_that_was_scratched_elsewhere_no_longer_counts():
    key, had = ("Pepper", "Marigold Demo"), Dosed(MORNING, Decimal("0.47"), Decimal(95))
    state = replace(begun().state, dosed={key: had})
    gone = Dosings(1, {key: None})
    assert caught_up(state, gone, on_paper=False).dosed == {}
    assert caught_up(state, gone, on_paper=True).dosed == {key: had}
    assert caught_up(replace(state, dosed={}), gone, on_paper=False).dosed == {}
