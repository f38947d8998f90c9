"""Birds counted by cage, pairs one by one, sex as it was said, and a bird that may be done."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from assistant.adapters.home.grammar_file import grammar_text
from assistant.conversation.entries import NoteEntry, TreatmentEntry
from assistant.conversation.reminding import TEXTS
from assistant.conversation.turn import Status, Turn
from assistant.dosing.condition import Condition
from assistant.dosing.reminders import Reminder
from assistant.dosing.species import Aviary, Bird, read_birds
from assistant.language.lexicon import build
from assistant.language.requests import CageSaid, Intent
from assistant.language.understanding import understand
from tests.dosing_scene import species
from tests.talk_scene import Talk, begun, demo_lexicon, setting


def treatment(turn: Turn) -> TreatmentEntry:
    return next(entry for entry in turn.entries if isinstance(entry, TreatmentEntry))


def dosed(talk: Talk, count: int) -> Turn:
    for _ in range(count):
        talk.say("cockatiel 95", "given")
    return talk.turns[-1]


@pytest.mark.parametrize(
    ("phrase", "meant"),
    [("cage four", CageSaid("4")), ("cage 12", CageSaid("12")),
     ("cage four six birds", CageSaid("4", 6)), ("cage 4, 6 birds", CageSaid("4", 6)),
     ("cage twenty one with thirty two birds", CageSaid("21", 32))],
)  # fmt: skip
def test_a_cage_is_its_number_and_its_birds(phrase: str, meant: CageSaid):
    assert understand(phrase, demo_lexicon()).requests == (meant,)


def test_a_cage_may_have_a_name():
    aviary = Aviary((species(),), (Bird("Nutmeg", "Test bird", cage="north flight"),))
    lexicon = build(grammar_text("dosewren.jsgf"), aviary, ())
    assert understand("cage north flight", lexicon).requests == (CageSaid("north flight"),)


@pytest.mark.parametrize("phrase", ["cage lower aviary", "cage a1 three birds"])
def test_a_cage_that_is_not_known_is_told_how_to_be_named(phrase: str):
    turn = begun().say(phrase)
    assert turn.reason == "which_cage"
    assert turn.reply.said.startswith("I do not know that cage. Say cage and its number. A cage")


def test_done_and_left_are_counted_and_the_last_one_is_told():
    talk = begun()
    turn = talk.say("cage four two birds")
    assert turn.intent is Intent.CAGE
    assert turn.reply.said.startswith("Cage 4, 2 birds.")
    assert "0.47 mL. 1 of 2 done." in dosed(talk, 1).reply.said
    assert talk.say("who is left").reply.said == "Cage 4: 1 of 2 done, 1 left."
    assert "All 2 done." in dosed(talk, 1).reply.said


def test_no_bird_without_a_name_is_dosed_beyond_the_count():
    talk = begun()
    talk.say("cage four two birds")
    dosed(talk, 2)
    turn = talk.say("cockatiel 95")
    assert (turn.status, turn.reason) == (Status.ASKED, "cage_done")
    assert "Cage 4 has 2 birds, and 2 are done." in turn.reply.said
    assert talk.say("pepper 95").status is Status.ANSWERED, "a name tells which bird it is"


def test_a_bird_of_another_cage_is_told_what_to_say():
    talk = begun()
    talk.say("cage four two birds")
    dosed(talk, 2)
    assert talk.say("galah 330").reply.said.endswith(
        "If it is of another cage, say that cage first."
    )
    assert talk.say("cage five").status is Status.COMMAND
    talk.say("new needle")
    assert talk.say("galah 330").status is Status.ANSWERED


def test_more_birds_with_names_than_were_counted_call_for_a_new_count():
    talk = begun()
    talk.say("cage four one bird", "cockatiel 95", "given", "pepper 95")
    assert "2 done, but the count was 1: count this cage again." in talk.say("given").reply.said
    assert "2 done, but the count was 1" in talk.say("who is left").reply.said


@pytest.mark.parametrize(("end", "done"), [("given", 1), ("spat it out", 1), ("don't know", 1),
                                           ("not given", 0), ("full crop", 0)])  # fmt: skip
def test_only_what_counts_as_a_dose_is_done(end: str, done: int):
    talk = begun()
    talk.say("cage four six birds", "cockatiel 95", end)
    assert talk.say("who is left").reply.said.startswith(f"Cage 4: {done} of 6 done")


def test_a_scratched_dose_is_left_again():
    talk = begun()
    talk.say("cage four six birds", "cockatiel 95", "given", "scratch that")
    assert talk.say("who is left").reply.said == "Cage 4: 0 of 6 done, 6 left."


def test_a_count_that_does_not_match_stops_the_birds_without_a_name():
    talk = begun()
    talk.say("cage four six birds")
    dosed(talk, 1)
    assert talk.say("cage four five birds").reply.said == (
        "Cage 4 had 6 birds, now 5? Say yes, or the cage and its birds again."
    )
    talk.say("yes")
    assert talk.say("cockatiel 95").reason == "cage_count"
    assert talk.say("pepper 95").status is Status.ANSWERED


def test_a_count_that_was_misheard_is_put_right():
    talk = begun()
    talk.say("cage four sixteen birds", "cage four six birds", "yes")
    assert dosed(talk, 1).reply.said.count("1 of 6 done.") == 1
    talk.say("cage four sixty birds", "cage four six birds")
    assert talk.say("cockatiel 95").status is Status.ANSWERED


def test_a_cage_that_nobody_counted_is_left_while_a_bird_of_it_is():
    birds = (Bird("Nutmeg", "Cockatiel", cage="7"), Bird("Clove", "Cockatiel", cage="7"))
    demo = setting()
    aviary = replace(demo.lexicon.aviary, birds=birds)
    lexicon = build(grammar_text("dosewren.jsgf"), aviary, demo.medicines)
    talk = Talk(replace(demo, lexicon=lexicon))
    told = [
        talk.say(*said, "which cages are left?").reply.said
        for said in (["yes"], ["nutmeg 95", "given"], ["clove 95", "given"], ["cage nine"])
    ]
    assert told[0].endswith("By name: Nutmeg, Clove.")
    assert told[1].endswith("By name: Clove.")
    assert told[2:] == ["All cages that I know of are done.", "Cage 9: 0 done."]


def test_the_next_cage_has_the_next_number_and_says_who_was_left():
    talk = begun()
    talk.say("cage four six birds")
    dosed(talk, 2)
    said = talk.say("next cage").reply.said
    assert said.startswith("Cage 4: 2 of 6 done, 4 left. Cage 5.")
    assert talk.say("cage four").reply.said.startswith("Cage 4, 6 birds. 2 of 6 done.")


def test_a_cage_that_was_begun_without_a_count_is_counted_before_it_goes_on():
    talk = begun()
    talk.say("cage four")
    dosed(talk, 1)
    talk.say("next cage", "cage four", "new needle")
    assert talk.say("cockatiel 95").reason == "cage_count"
    assert talk.say("cage four six birds", "cockatiel 95").status is Status.ANSWERED


def test_a_cage_is_not_dosed_again_before_its_day():
    talk = begun()
    talk.say("cage four one birds")
    dosed(talk, 1)
    talk.at += timedelta(days=9)
    assert "The next is due from 11 March." in talk.say("cage four").reply.said
    assert talk.say("cockatiel 95").reason == "already_dosed"
    talk.at += timedelta(days=1)
    assert talk.say("cockatiel 95").status is Status.ANSWERED


def test_between_cages_the_needle_is_changed_and_crops_are_felt():
    talk = begun()
    first = talk.say("cage four six birds").reply.said
    assert TEXTS[Reminder.CHANGE] not in first
    assert TEXTS[Reminder.CROPS] not in first, "it was said when the round began"
    dosed(talk, 1)
    said = talk.say("next cage").reply.said
    assert TEXTS[Reminder.CROPS] in said
    assert said.endswith(TEXTS[Reminder.CHANGE])


def test_the_next_cage_waits_for_the_open_dose():
    talk = begun()
    assert talk.say("cage four", "cockatiel 95", "next cage").reason == "open_dose"
    assert talk.state.sitting.cage == "4"


def test_breeding_is_asked_anew_in_each_cage():
    talk = begun()
    spared = replace(talk.state.sitting, spared=frozenset({Condition.BREEDING}))
    talk.state = replace(talk.state, sitting=spared)
    talk.say("cage four")
    assert not talk.state.sitting.spared


def test_cage_and_sex_are_kept_with_the_treatment():
    talk = begun()
    talk.say("cage four six birds")
    kept = treatment(talk.say("female cockatiel 95"))
    assert (kept.cage, kept.sex) == ("4", "female")
    assert treatment(talk.say("given", "cockatiel 95")).sex is None
    notes = [e.text for e in talk.entries if isinstance(e, NoteEntry) and e.kind == "cage"]
    assert notes == ["4, 6 birds"]


def test_the_list_of_birds_says_their_cage_and_sex():
    rows = [{"name": "Nutmeg", "species": "Test bird", "cage": 4, "sex": "female"},
            {"name": "Sorrel", "species": "Test bird", "cage": "Cage 5"}]  # fmt: skip
    birds = read_birds({"bird": rows}, (species(),), "birds.toml").birds
    assert [(one.cage, one.sex) for one in birds] == [("4", "female"), ("5", None)]


def test_a_pair_is_two_birds_one_after_the_other():
    talk = begun()
    turn = talk.say("pair of cockatiels")
    assert turn.reply.said.startswith("A pair is two birds: one at a time. Cockatiel: what does")
    talk.say("95")
    turn = talk.say("given")
    assert "Next: Cockatiel: what does it weigh?" in turn.reply.said
    assert talk.say("90").facts.grams == 90
    assert "Next:" not in talk.say("given").reply.said


def test_a_bird_that_may_be_done_gets_no_dose():
    talk = begun()
    turn = talk.say("cage four six birds", "cockatiel", "caught again")
    assert turn.reply.said.startswith("No dose for a bird that may have had one.")
    assert talk.state.question is None
    dosed(talk, 1)
    said = talk.say("cockatiel 95", "got away").reply.said
    assert "only if you can tell it from those that are done" in said


def test_a_swap_voids_the_open_dose():
    talk = begun()
    turn = talk.say("pepper 95", "that was the other bird")
    assert "Do not give it. Which bird is it" in turn.reply.said
    assert talk.state.pending is None


def test_a_cage_belongs_to_the_round():
    talk = begun()
    talk.say("cage four six birds", "goodbye")
    assert talk.state.sitting.cage is None
