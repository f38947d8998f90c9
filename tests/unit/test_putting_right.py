"""Corrections, before and after a dose was given: rows are added, and what it meant is said."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from assistant.conversation.entries import (
    CorrectionEntry,
    DoseEnd,
    DoseEndEntry,
    DoseEntry,
    Entry,
    TreatmentEntry,
)
from assistant.conversation.putting_right import VET
from assistant.conversation.turn import Status, Turn
from assistant.language.heard import Channel, Heard
from tests.dosing_scene import medicine
from tests.talk_scene import Talk, begun


def rows(turn: Turn, kind: type[Entry]) -> list[Entry]:
    return [entry for entry in turn.entries if isinstance(entry, kind)]


def given(bird: str = "pepper 95", **changes: Any) -> Talk:  # noqa: ANN401 - keys of the file
    talk = begun(medicine(**changes)) if changes else begun()
    talk.say(bird, "given")
    return talk


@pytest.mark.parametrize("phrase", ["that was eighty five not ninety five", "no, eighty five",
                                    "that was eighty five", "no wait, 85", "oops no 85",
                                    "that one was 85", "no hang on 85"])  # fmt: skip
def test_before_it_is_given_the_dose_is_worked_out_anew(phrase: str):
    turn = begun().say("pepper 95", phrase)
    assert turn.status is Status.ANSWERED
    assert turn.reply.said.startswith("Corrected: Pepper, Cockatiel, 85 grams. 0.42 mL")


@pytest.mark.parametrize("opener", ["wait", "hang on", "oops"])
def test_a_word_that_may_open_a_new_bird_leaves_a_bare_weight_to_be_asked_about(opener: str):
    talk = begun()
    turn = talk.say("pepper 95", f"{opener} 85")
    assert turn.reason == "correction"
    assert talk.say("correction").reply.said.startswith("Corrected: Pepper, Cockatiel, 85 grams")


@pytest.mark.parametrize("phrase", ["that was eighty five not ninety five", "no, eighty five",
                                    "that was eighty five", "that bird was 85 not 95",
                                    "no wait 85"])  # fmt: skip
def test_after_it_was_given_it_is_a_row_of_its_own_once_confirmed(phrase: str):
    talk = given()
    turn = talk.say(phrase)
    assert turn.reason == "afterwards"
    assert "was it 85 grams, not 95 grams?" in turn.reply.said
    turn = talk.say("yes")
    (row,) = rows(turn, CorrectionEntry)
    assert isinstance(row, CorrectionEntry)
    assert (row.dose_id, row.fact, row.was, row.now) == ("r1-1", "grams", "95", "85")
    assert not rows(turn, DoseEndEntry)
    assert talk.state.dosed["Pepper", "Marigold Demo"].grams == 85


# 0.5 mL/kg neat, 1 in 10: 0.005 mL per gram; 0.47 mL was given for 95 grams
@pytest.mark.parametrize(
    ("grams", "said"),
    [("85", "It had 11 % too much: 0.42 mL was right."),  # 0.47 / 0.425 = 1.106
     ("110", "It had 15 % too little: no top-up."),  # 0.47 / 0.55 = 0.855
     ("94", "That is the right dose for this weight too.")],  # 0.47 exactly
)  # fmt: skip
def test_what_the_volume_meant_is_said_plainly(grams: str, said: str):
    turn = given().say(f"that was {grams} not 95", "yes")
    assert turn.reply.said.endswith(said)


@pytest.mark.parametrize(
    ("changes", "vet"),
    [({"safety_multiple": 10}, False), ({"safety_multiple": Decimal("1.1")}, True),
     ({"dose_is_maximum": True}, True)],
)  # fmt: skip
def test_past_a_limit_the_vet_is_called(changes: dict[str, Any], vet: bool):  # noqa: FBT001 - one column
    turn = given(**changes).say("that was 80 not 95", "yes")
    assert turn.reply.said.endswith(VET) is vet


def test_a_bare_weight_after_a_dose_is_a_correction_when_the_keeper_says_so():
    talk = given()
    assert talk.say("eighty five").reason == "correction"
    assert "was it 85 grams, not 95 grams?" in talk.say("correction").reply.said
    assert rows(talk.say("yes"), CorrectionEntry)


def test_no_leaves_it_as_it_was():
    talk = given()
    turn = talk.say("that was eighty five not ninety five", "no")
    assert not rows(turn, CorrectionEntry)
    assert talk.state.question is None


def test_a_weight_that_was_not_said_is_no_correction():
    talk = given()
    said = talk.say("that was eighty five not sixty").reply.said
    assert said.startswith("The last dose was for Pepper, Cockatiel, 95 grams, 0.47 mL.")
    said = talk.say("saffron 30", "that was thirty one not ninety").reply.said
    assert said.startswith("The dose is for Saffron, Budgerigar, 30 grams")


def test_the_last_dose_is_put_right_though_the_next_is_open():
    talk = given()
    turn = talk.say("saffron 30", "that was eighty five not ninety five", "yes")
    assert rows(turn, CorrectionEntry)
    assert talk.state.pending is not None
    assert talk.say("given").reply.said.startswith("Given: Saffron")


def test_an_absurd_correction_is_refused():
    turn = given().say("that was nine hundred not ninety five", "yes")
    assert "cannot be right" in turn.reply.said
    assert not rows(turn, CorrectionEntry)


def swapped() -> tuple[Talk, Turn]:
    talk = given("pepper 95")
    asked = talk.say("that was the other bird")
    assert asked.reason == "other_bird"
    return talk, talk.say("saffron 30")


def test_the_dose_is_written_anew_for_the_bird_that_had_it():
    _, turn = swapped()
    old, new = rows(turn, DoseEndEntry)
    (dose,), (kept,) = rows(turn, DoseEntry), rows(turn, TreatmentEntry)
    assert isinstance(old, DoseEndEntry)
    assert isinstance(new, DoseEndEntry)
    assert isinstance(dose, DoseEntry)
    assert isinstance(kept, TreatmentEntry)
    assert (old.dose_id, old.end, old.note) == ("r1-1", DoseEnd.SCRATCHED, "other bird: r1-2")
    assert (new.dose_id, new.end, new.note) == ("r1-2", DoseEnd.GIVEN, "in place of r1-1")
    assert (dose.bird, dose.grams, dose.volume_ml) == ("Saffron", Decimal(30), Decimal("0.47"))
    assert (dose.exact_ml, kept.ring) == (Decimal("0.15"), "DEMO 27")


def test_the_other_bird_is_dosed_and_the_first_one_is_not():
    talk, turn = swapped()
    assert "Pepper had none of it. It had 213 % too much: 0.15 mL was right." in turn.reply.said
    assert talk.say("how many done").reply.said == "1 bird given."
    assert talk.say("saffron 30").reason == "already_dosed"
    assert talk.say("pepper 95").status is Status.ANSWERED


def test_a_double_dose_that_comes_out_is_for_the_vet():
    talk = given("saffron 30")
    turn = talk.say("pepper 95", "given", "that was the other bird", "saffron 30")
    assert turn.reply.said.endswith(
        "Saffron had 0.15 mL on 1 March already: that is a double dose. Call the vet now."
    )


def test_it_is_asked_again_until_bird_and_weight_are_told():
    talk = given()
    turn = talk.say("that was the other bird", "saffron")
    assert (turn.reason, turn.reply.said) == (
        "other_bird", "Saffron, Budgerigar: what did it weigh?",
    )  # fmt: skip
    assert rows(talk.say("thirty"), DoseEntry)


def test_no_drops_the_question_about_the_other_bird():
    talk = given()
    talk.say("that was the other bird")
    assert talk.say("no").status is Status.COMMAND
    assert talk.say("saffron 30").status is Status.ANSWERED, "a dose of its own again"


def test_an_unsure_answer_is_no_dose_of_its_own():
    talk = given()
    talk.say("that was the other bird")
    unsure = Heard("saffron thirty one", 0.6, channel=Channel.VOICE, engine="ear", doubtful=True)
    turn = talk.say(heard=unsure)
    assert turn.reply.said == "Did you say Saffron, Budgerigar, 31 grams?"
    turn = talk.say("yes")
    assert turn.facts.dose is None
    assert len(rows(turn, DoseEntry)) == 1
