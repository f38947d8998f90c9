"""How a dose ends, and what must never end it."""

from __future__ import annotations

import pytest

from assistant.conversation.entries import DoseEnd, DoseEndEntry, DoseEntry
from assistant.conversation.turn import Status
from assistant.dosing.needle import NeedleState
from assistant.language.requests import Intent
from tests.talk_scene import begun


@pytest.mark.parametrize(
    ("phrase", "end", "intent", "said"),
    [
        ("given", DoseEnd.GIVEN, Intent.GIVEN, "Given: Cockatiel, 95 grams, 0.47 mL."),
        ("part given", DoseEnd.PART_GIVEN, Intent.PART_GIVEN, "no top-up"),
        ("spat it out", DoseEnd.PART_GIVEN, Intent.PART_GIVEN, "counts as a full dose"),
        ("not given", DoseEnd.NOT_GIVEN, Intent.NOT_GIVEN, "Not given: Cockatiel, 95 grams"),
        ("don't know", DoseEnd.NOT_KNOWN, Intent.NOT_KNOWN, "no second one"),
        ("got away", DoseEnd.NOT_GIVEN, Intent.NOT_GIVEN, "weigh it and ask again"),
    ],
)
def test_a_dose_ends_as_the_keeper_says(phrase: str, end: DoseEnd, intent: Intent, said: str):
    talk = begun()
    talk.say("cockatiel 95")
    turn = talk.say(phrase)
    assert (turn.status, turn.intent) == (Status.COMMAND, intent)
    assert said in turn.reply.said
    assert "0.47 mL" in turn.reply.said
    assert [entry.end for entry in turn.entries if isinstance(entry, DoseEndEntry)] == [end]
    assert talk.state.pending is None
    assert talk.state.ended == {end: 1}


@pytest.mark.parametrize(
    "phrase",
    ["next", "next bird", "done", "yes", "ok", "no", "how many done", "say again", "hello"],
)
def test_nothing_else_ends_a_dose(phrase: str):
    talk = begun()
    talk.say("cockatiel 95")
    turn = talk.say(phrase)
    assert talk.state.pending is not None
    assert not [entry for entry in turn.entries if isinstance(entry, DoseEndEntry)]


def test_next_asks_what_became_of_the_open_dose():
    talk = begun()
    turn = talk.say("cockatiel 95", "next bird")
    assert turn.reason == "open_dose"
    assert "Was it given?" in turn.reply.said
    assert talk.say("yes").reply.said.startswith("Given: Cockatiel")


def test_given_twice_counts_once():
    talk = begun()
    turn = talk.say("cockatiel 95", "given", "given")
    assert turn.reason == "nothing_open"
    assert talk.say("how many done").reply.said == "1 bird given."


def test_the_dose_is_logged_as_answered_and_given_only_when_said():
    talk = begun()
    talk.say("cockatiel 95")
    kinds = [type(entry) for entry in talk.entries]
    assert DoseEntry in kinds
    assert DoseEndEntry not in kinds


def test_wrong_bird_voids_the_dose_and_asks_which():
    talk = begun()
    turn = talk.say("cockatiel 95", "wrong bird")
    assert turn.status is Status.COMMAND
    assert turn.intent is Intent.SCRATCH
    assert "Do not give it." in turn.reply.said
    assert talk.say("budgie 31").status is Status.ANSWERED


def test_scratch_voids_the_open_dose_or_else_the_last_one():
    talk = begun()
    assert "Do not give it." in talk.say("cockatiel 95", "scratch that").reply.said
    turn = talk.say("cockatiel 90", "given", "scratch the last one")
    assert "no longer counts as given" in turn.reply.said
    assert talk.say("how many done").reply.said == "0 birds given."
    assert talk.say("scratch that").reason == "nothing_open"


def test_another_bird_is_told_of_the_open_dose_and_goes_on_after_it():
    talk = begun()
    turn = talk.say("cockatiel 95", "budgie 31")
    assert turn.reason == "open_dose"
    assert turn.reply.said.startswith("Wait. The 0.47 mL for Cockatiel is still open.")
    turn = talk.say("given")
    assert turn.status is Status.ANSWERED
    assert turn.reply.said.startswith(
        "Given: Cockatiel, 95 grams, 0.47 mL. Next: Budgerigar, 31 grams."
    )
    assert len([entry for entry in turn.entries if isinstance(entry, DoseEndEntry)]) == 1


@pytest.mark.parametrize("end", ["given", "part given", "not given", "don't know"])
def test_a_waiting_bird_keeps_what_was_said_of_it(end: str):
    talk = begun()
    talk.say("cockatiel 95", "macaw 1.2 kg", "blue and gold")
    turn = talk.say(end)
    assert turn.status is Status.ANSWERED
    assert turn.facts.species == "Blue and gold macaw"
    assert turn.facts.grams == 1200


def test_a_weight_said_while_a_bird_waits_is_that_birds():
    turn = begun().say("cockatiel 95", "budgie", "31", "next", "given")
    assert turn.facts.species == "Budgerigar"
    assert turn.facts.grams == 31


def test_a_bird_waits_while_the_question_is_put_again():
    turn = begun().say("cockatiel 95", "budgie 31", "how many done", "next", "not given")
    assert turn.facts.species == "Budgerigar"


def test_a_dose_not_given_leaves_the_needle_as_it_was():
    talk = begun()
    states = []
    for end in ("not given", "got away", "given", "not given"):
        talk.say("cockatiel 95", end)
        states.append(talk.state.needle_state)
    dry, full = NeedleState.DRY, NeedleState.FULL
    assert states == [dry, dry, full, full]
    assert "Needle full: draw to 0.47 mL only." in talk.say("cockatiel 95").reply.said


def test_goodbye_waits_for_the_end_of_the_open_dose():
    talk = begun()
    turn = talk.say("cockatiel 95", "goodbye")
    assert not turn.ends
    turn = talk.say("given")
    assert turn.ends
    assert turn.reply.said.endswith("1 bird given. Goodbye.")


def test_counts_tell_the_ends_apart():
    talk = begun()
    talk.say("cockatiel 95", "given", "cockatiel 95", "given", "cockatiel 95", "part given")
    talk.say("cockatiel 102", "not given", "cockatiel 102", "don't know")
    said = talk.say("how many done").reply.said
    assert said == "2 birds given. Also 1 part given, 1 not given, 1 not known."


def test_without_a_list_nobody_knows_who_is_left():
    turn = begun().say("who is left")
    assert turn.intent is Intent.REMAINING
    assert "no list" in turn.reply.said


def test_scratch_drops_the_bird_that_is_asked_about_and_leaves_the_last_dose_alone():
    talk = begun()
    turn = talk.say("pepper 95", "given", "galah 3250", "scratch that")
    assert turn.reply.said == "Dropped. To take the last dose back, say scratch that again."
    assert not [entry for entry in turn.entries if isinstance(entry, DoseEndEntry)]
    assert talk.say("pepper 95").reason == "already_dosed"
    assert "no longer counts" in talk.say("scratch that").reply.said


def test_scratching_an_open_dose_leaves_the_one_before_to_be_scratched():
    talk = begun()
    turn = talk.say("cockatiel 95", "given", "budgie 31", "scratch that", "scratch that")
    assert "Scratched: Cockatiel, 95 grams" in turn.reply.said
    assert talk.state.ended == {DoseEnd.GIVEN: 0}


@pytest.mark.parametrize("phrase", ["wrong bird", "scratch that"])
def test_when_the_right_bird_waits_it_goes_on_at_once(phrase: str):
    talk = begun()
    turn = talk.say("cockatiel 95", "budgie 31", phrase)
    assert turn.reply.said.startswith("Scratched: Cockatiel, 95 grams, 0.47 mL. Do not give it.")
    assert turn.facts.species == "Budgerigar"
    assert turn.status is Status.ANSWERED
