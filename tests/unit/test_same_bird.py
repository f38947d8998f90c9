"""A bird that spat it out and is weighed again: asked about, since it gets no top-up."""

from __future__ import annotations

import pytest

from assistant.conversation.turn import Status, Turn
from tests.talk_scene import Talk, begun

ASKED = (
    "The last one, Cockatiel, 95 grams, counts as done. Is this that bird again? Say yes, or no."
)


def after(end: str, then: str = "cockatiel 95") -> tuple[Talk, Turn]:
    talk = begun()
    talk.say("cockatiel 95", end)
    return talk, talk.say(then)


@pytest.mark.parametrize("end", ["spat it out", "part given", "don't know"])
def test_the_same_weight_after_a_dose_in_part_is_asked_about(end: str):
    talk, turn = after(end)
    assert (turn.status, turn.reason, turn.reply.said) == (Status.ASKED, "same_bird", ASKED)
    refused = talk.say("yes")
    assert (refused.reason, refused.facts.dose) == ("same_bird", None)
    assert refused.reply.said.startswith("No top-up")
    assert talk.state.question is None


def test_another_bird_of_that_weight_gets_its_dose_and_is_asked_about_once():
    talk, _ = after("spat it out")
    assert talk.say("no").status is Status.ANSWERED
    assert talk.say("no, ninety six").status is Status.ANSWERED
    talk.say("given")
    assert talk.say("cockatiel 95").status is Status.ANSWERED


@pytest.mark.parametrize("end", ["given", "not given"])
def test_nothing_is_asked_where_all_or_nothing_went_in(end: str):
    assert after(end)[1].status is Status.ANSWERED


@pytest.mark.parametrize("then", ["cockatiel 101", "cockatiel 90", "galah 330", "pepper 95"])
def test_another_weight_species_or_name_is_another_bird(then: str):
    assert after("spat it out", then)[1].status is Status.ANSWERED


@pytest.mark.parametrize("then", ["cockatiel 97", "cockatiel 93", "cockatiel 3.35 oz"])
def test_a_second_weighing_need_not_show_the_same_gram(then: str):
    assert after("spat it out", then)[1].reason == "same_bird"


@pytest.mark.parametrize("end", ["not given", "given"])
def test_a_bird_that_coughed_gets_nothing_more_though_it_has_no_name(end: str):
    talk = begun()
    talk.say("cockatiel 95", "it's coughing", end, "new needle")
    turn = talk.say("cockatiel 96")
    assert turn.reply.said.startswith("The last one, Cockatiel, 95 grams, is for the vet. Is this")
    assert talk.say("yes").reason == "emergency"
    talk.say("cockatiel 96")
    assert talk.say("no").status is Status.ANSWERED
