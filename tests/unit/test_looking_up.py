"""Questions that change nothing, as keepers type them: no number in one of them is a weight."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.conversation.ahead import asks_what_is_due
from assistant.conversation.entries import DoseEndEntry, DoseEntry
from assistant.conversation.looking_up import NO_DOSE_YET, NOT_AGAIN, NOT_READ
from assistant.conversation.turn import Status
from assistant.language.heard import Heard
from assistant.records.due import Given, Repeat, Whose
from tests.talk_scene import MORNING, Talk, begun, setting

LAST = [
    "how much did i give the last one?", "what did the last bird get", "what was the last dose",
    "how much was it", "how many mls was that",
]  # fmt: skip
WHEN = ["when is she due again?", "when's he due", "when do i do them again", "next worming when"]
ALONE = [
    ("make up 50 ml", "50 mL of Marigold Demo, 1 in 10: 5 mL of product and 45 mL of water."),
    ("how much water for 5 ml", "5 mL of Marigold Demo, 1 in 10: 0.5 mL of product and 4.5 mL"),
    ("how do i mix it", "Marigold Demo, 25 mg per mL, diluted 1 in 10, made of 1 part product"),
    ("did i do the galah", "Galah: I know of no dose."),
    ("who is left in cage 4", "Cage 4: 0 done."),
    ("starting cage 5", "Cage 5."),
    ("can we eat the eggs?", "Marigold Demo. Eggs: withdrawal period not known. Meat: withdr"),
    ("what's the withholding period for eggs", "Marigold Demo. Eggs: withdrawal period not"),
    ("is it ok to eat their eggs", "Marigold Demo. Eggs: withdrawal period not known."),
    ("print a label", "That is done on the computer"),
    ("how are we going", "0 birds given."),
    ("back in ten", "Not listening."),
    ("aviary 3", "I do not know that cage."),
]


def answered_only(talk: Talk, phrase: str) -> str:
    """The reply to a phrase that neither asks for a dose nor ends one."""
    turn = talk.say(phrase)
    assert turn.status is Status.COMMAND, turn.reply.said
    assert not [one for one in turn.entries if isinstance(one, DoseEntry | DoseEndEntry)]
    return turn.reply.said


@pytest.mark.parametrize(("phrase", "start"), ALONE)
def test_it_is_answered_and_its_number_is_no_weight(phrase: str, start: str):
    talk = begun()
    assert answered_only(talk, phrase).startswith(start)
    assert talk.state.question is None


@pytest.mark.parametrize("phrase", LAST)
def test_the_last_dose_is_told_with_its_end(phrase: str):
    talk = begun()
    assert answered_only(talk, phrase) == NO_DOSE_YET
    talk.say("pepper 95", "given")
    told = "The last one: Pepper, Cockatiel, 95 grams, 0.47 mL of Marigold Demo, given."
    assert answered_only(talk, phrase) == told


def test_an_open_dose_is_told_first_with_how_to_draw_it():
    talk = begun()
    talk.say("cockatiel 95")
    told = answered_only(talk, "where do i draw to")
    assert told.startswith("Open: Cockatiel, 95 grams, 0.47 mL. Dry needle: draw to 0.68 mL")


@pytest.mark.parametrize("phrase", WHEN)
def test_the_next_dose_of_the_last_bird_is_read_from_the_books(phrase: str):
    talk = begun()
    talk.say("pepper 95", "given")
    assert asks_what_is_due(Heard(phrase), talk.setting), "the register is read before it"
    assert answered_only(talk, phrase) == NOT_READ
    talk.state = replace(talk.state, windows=(window("r1-1"), window("another", "Saffron")))
    assert answered_only(talk, phrase) == (
        "Pepper, Cockatiel: Marigold Demo, due from 11 March to 15 March."
    )
    talk.state = replace(talk.state, windows=())
    assert answered_only(talk, phrase) == NOT_AGAIN


def window(dose_id: str, name: str = "Pepper") -> Repeat:
    whose = Whose("Cockatiel", bird=name)
    return Repeat(Given(dose_id, whose, "Marigold Demo", MORNING.date(), 10, 14), 2)


def test_a_named_bird_is_looked_up_by_its_name_and_a_species_by_all_of_it():
    talk = begun()
    talk.state = replace(talk.state, windows=(window("a"), window("b", "Other")))
    assert answered_only(talk, "when is pepper due again").startswith("Pepper, Cockatiel:")
    assert "Other" in answered_only(talk, "when is the cockatiel due")
    talk.say("pepper 95", "given")
    assert answered_only(talk, "has pepper been done").startswith("Pepper: 0.47 mL of Marigold")


def test_which_cages_are_left_names_those_that_are_not_done():
    talk = begun()
    talk.say("cage 4 1 bird", "cockatiel 95", "given", "cage 5 2 birds")
    assert answered_only(talk, "which cages are left?") == "Cage 5: 0 of 2 done, 2 left."


def test_a_cage_that_nobody_counted_stays_left_once_another_is_said():
    talk = begun()
    talk.say("cage 3", "cage 7", "cage 5 2 birds")
    told = answered_only(talk, "which cages are left?")
    assert told == "Cage 3: 0 done. Cage 7: 0 done. Cage 5: 0 of 2 done, 2 left."


@pytest.mark.parametrize(
    "phrase", ["eighty five, not ninety five", "not 95, 85", "85 i mean", "she's actually 85"]
)
def test_a_weight_is_put_right_in_either_order(phrase: str):
    turn = begun().say("cockatiel 95", phrase)
    assert (turn.status, str(turn.facts.grams)) == (Status.ANSWERED, "85")


@pytest.mark.parametrize("phrase", ["lutino cockatiel 95", "pied tiel hen 95g", "show tiel 95 g"])
def test_a_breeders_word_changes_no_dose(phrase: str):
    turn = Talk(setting(one_shot=True)).say(phrase)
    assert (turn.facts.species, str(turn.facts.grams)) == ("Cockatiel", "95")


@pytest.mark.parametrize("word", ["ring", "band", "leg band"])
def test_the_figures_of_an_unknown_ring_are_no_weight_whatever_it_is_called(word: str):
    turn = begun().say(f"{word} 123")
    assert (turn.facts.grams, turn.facts.dose) == (None, None)
    assert turn.reply.said.startswith("I do not know that ring.")


def test_a_stated_withdrawal_period_is_told_in_days():
    talk = begun()
    talk.say("switch to thistle", "new needle", "yes")
    assert answered_only(talk, "how long until i can eat the eggs") == (
        "Thistle Demo. Eggs: not to be eaten for 7 days after a dose. "
        "Meat: not to be eaten for 14 days after a dose. Demo medicine, never for a real bird."
    )
