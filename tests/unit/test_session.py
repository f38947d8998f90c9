"""A conversation with its register: rows before answers, and what happens without rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

import pytest

from assistant.conversation.entries import (
    DoseEnd,
    DoseEndEntry,
    DoseEntry,
    Entry,
    ExchangeEntry,
)
from assistant.conversation.state import Dosed, Dosings
from assistant.conversation.turn import Status, Turn
from assistant.dosing.medicine import Medicine
from assistant.errors import RegisterProblem
from assistant.language.expected import ANYTHING, Saying
from assistant.language.heard import Heard
from assistant.language.requests import Intent
from assistant.records.due import Given, Repeat, Whose
from assistant.session import Session
from assistant.stock import books
from tests.talk_scene import MORNING, setting

NOTHING_NEW = Dosings(0, {})
PEPPER = ("Pepper", "Marigold Demo")


@dataclass
class Shelf:
    """A register in memory that can be out of use, and that others may write to."""

    broken: bool = False
    unreadable: bool = False
    others: Dosings = NOTHING_NEW
    left: tuple[DoseEntry, ...] = ()
    looked_ahead: int = 0
    rows: list[Entry] = field(default_factory=list)

    def append(self, entries: Sequence[Entry]) -> None:
        """Keep the rows, or fail as a full disk does."""
        if self.broken:
            raise RegisterProblem("the disk is full")
        self.rows += entries

    def dosed_since(self, mark: int) -> Dosings:
        """What others wrote of full doses, once."""
        if self.unreadable:
            raise RegisterProblem("the disk is gone")
        news, self.others = self.others, Dosings(mark, {})
        return news

    def left_open(self) -> tuple[DoseEntry, ...]:
        """What an earlier round left open."""
        return self.left

    def windows(self, medicines: Sequence[Medicine], today: date) -> tuple[Repeat, ...]:
        """One window of a bird of its own, once that is asked."""
        if self.unreadable:
            raise RegisterProblem("the disk is gone")
        self.looked_ahead += 1
        whose = Whose("Cockatiel", bird="Pepper")
        return (Repeat(Given("d", whose, medicines[0].name, today, 3, 5, 2), 2),)

    def shelf_since(self, mark: int) -> books.Shelf:
        """There is no stock."""
        return books.Shelf(mark)


class Stopped:
    """A clock that stands still."""

    def now(self) -> datetime:
        """The one moment there is."""
        return MORNING


def session(shelf: Shelf) -> Session:
    return Session(setting(), shelf, Stopped())


def talk(one: Session, *phrases: str) -> Turn:
    return [one.hear(Heard(phrase)) for phrase in phrases][-1]


def test_what_is_due_is_read_when_it_is_asked_and_only_then():
    shelf = Shelf()
    one = session(shelf)
    talk(one, "yes", "cockatiel 95", "given")
    assert shelf.looked_ahead == 0
    turn = talk(one, "what is due")
    assert turn.reply.said == (
        "Due this week: Pepper, Cockatiel: Marigold Demo, due from 4 March to 6 March. "
        "Weigh each bird again first."
    )
    assert (turn.intent, turn.status, shelf.looked_ahead) == (Intent.DUE, Status.COMMAND, 1)


def test_what_is_due_is_not_made_up_where_the_register_cannot_be_read():
    shelf = Shelf(unreadable=True)
    assert "cannot say what is due" in talk(session(shelf), "what's due this week").reply.said


def test_asking_what_is_due_leaves_the_dose_that_waits_as_it_is():
    one = session(Shelf())
    talk(one, "yes", "cockatiel 95", "what is due")
    assert talk(one, "given").reply.said.startswith("Given")


def test_every_exchange_is_kept_with_its_raw_words():
    shelf = Shelf()
    talk(session(shelf), "yes", "Cockatiel, 95 g!", "mumble", "given")
    heard = [row.heard for row in shelf.rows if isinstance(row, ExchangeEntry)]
    assert heard == ["yes", "Cockatiel, 95 g!", "mumble", "given"]
    statuses = [row.status for row in shelf.rows if isinstance(row, ExchangeEntry)]
    assert statuses == ["command", "answered", "ignored", "command"]


def test_an_answer_comes_without_its_row_but_says_so_loudly():
    turn = talk(session(Shelf(broken=True)), "yes", "cockatiel 95")
    assert turn.status is Status.ANSWERED
    assert turn.reply.said.startswith("Cockatiel, 95 grams. 0.47 mL")
    assert "This dose is not in it, and the guard against double doses is off." in turn.reply.said
    assert "This dose is not in it" in turn.reply.for_eye


def test_given_is_refused_without_its_row():
    one = session(Shelf(broken=True))
    turn = talk(one, "yes", "cockatiel 95", "given")
    assert turn.status is Status.COMMAND
    assert turn.reason == "register"
    assert turn.reply.said.startswith("Not written down:")
    assert "Write it on paper: given, Cockatiel, 95 grams, 0.47 mL." in turn.reply.said
    assert one.state.ended == {}


def test_a_refused_end_can_be_told_again_when_the_register_is_back():
    shelf = Shelf(broken=True)
    one = session(shelf)
    talk(one, "yes", "cockatiel 95", "given")
    shelf.broken = False
    assert talk(one, "given").reply.said.startswith("Given: Cockatiel, 95 grams, 0.47 mL.")
    assert [row.end for row in shelf.rows if isinstance(row, DoseEndEntry)] == [DoseEnd.GIVEN]


def test_a_refused_end_holds_up_neither_the_next_bird_nor_the_goodbye():
    one = session(Shelf(broken=True))
    talk(one, "yes", "cockatiel 95", "given")
    assert talk(one, "budgie 31").status is Status.ANSWERED
    talk(one, "part given")
    assert talk(one, "goodbye").ends


def test_a_waiting_bird_is_answered_after_the_refused_end():
    one = session(Shelf(broken=True))
    turn = talk(one, "yes", "cockatiel 95", "budgie 31", "given")
    assert "Write it on paper: given, Cockatiel" in turn.reply.said
    assert talk(one, "budgie 31").facts.species == "Budgerigar"


@pytest.mark.parametrize("phrase", ["no, eighty five", "no", "correction", "yes"])
def test_a_dose_whose_end_is_on_paper_is_not_open_for_another_weight(phrase: str):
    # the bird has had its dose: a corrected one would be a second one
    one = session(Shelf(broken=True))
    talk(one, "yes", "cockatiel 95", "given")
    turn = talk(one, phrase)
    assert turn.status is Status.COMMAND
    assert turn.reason in {"nothing_open", "nothing_asked"}
    assert turn.facts.dose is None


def test_a_dose_that_was_given_on_paper_is_not_forbidden_when_it_is_scratched():
    turn = talk(session(Shelf(broken=True)), "yes", "cockatiel 95", "given", "scratch that")
    assert "Write it on paper: scratched, Cockatiel" in turn.reply.said
    assert "Do not give it" not in turn.reply.said


def test_a_bird_counts_as_dosed_though_only_paper_knows():
    one = session(Shelf(broken=True))
    turn = talk(one, "yes", "pepper 95", "given", "pepper 95")
    assert turn.reason == "already_dosed"


def test_a_dose_is_never_taken_back_without_a_row():
    shelf = Shelf()
    one = session(shelf)
    talk(one, "yes", "pepper 95", "given")
    shelf.broken = True
    turn = talk(one, "scratch that")
    assert turn.reason == "register"
    assert "Write it on paper: scratched, Pepper" in turn.reply.said
    assert talk(one, "pepper 95").reason == "already_dosed"
    assert one.state.ended == {DoseEnd.GIVEN: 1}


def test_a_corrected_weight_is_answered_without_its_row():
    one = session(Shelf(broken=True))
    turn = talk(one, "yes", "cockatiel 95", "no, eighty five")
    assert turn.facts.grams == 85
    assert "not in it" in turn.reply.said


def test_an_unreadable_register_is_said_with_each_dose():
    shelf = Shelf(unreadable=True)
    one = session(shelf)
    turn = talk(one, "yes", "cockatiel 95")
    assert "double doses" in turn.reply.said
    assert [row for row in shelf.rows if isinstance(row, DoseEntry)]
    shelf.unreadable = False
    assert "double doses" not in talk(one, "given", "cockatiel 95").reply.said


def test_a_dose_that_another_program_wrote_in_the_middle_of_a_round_is_guarded_against():
    shelf = Shelf()
    one = session(shelf)
    talk(one, "yes", "cockatiel 95", "given")
    shelf.others = Dosings(1, {PEPPER: Dosed(MORNING, Decimal("0.45"))})
    turn = talk(one, "pepper 95")
    assert turn.reason == "already_dosed"
    assert "Pepper had 0.45 mL" in turn.reply.said
    shelf.others = Dosings(2, {PEPPER: None})
    assert talk(one, "pepper 95").status is Status.ANSWERED, "the other one scratched it"


def test_a_dose_that_only_paper_has_is_not_taken_back_by_another_program():
    shelf = Shelf(broken=True)
    one = session(shelf)
    talk(one, "yes", "pepper 95", "given")
    shelf.others = Dosings(1, {PEPPER: None})
    assert talk(one, "pepper 95").reason == "already_dosed"


def test_the_greeting_is_the_question_of_the_round():
    assert session(Shelf()).greeting.startswith("This round: Marigold Demo, 25 mg per mL")


def test_a_session_says_what_is_expected_next():
    session = Session(setting(), Shelf(), Stopped())
    assert Saying.YES_NO in session.expected
    session.hear(Heard("yes"))
    assert session.expected == ANYTHING
    session.hear(Heard("cockatiel"))
    assert Saying.WEIGHT in session.expected
