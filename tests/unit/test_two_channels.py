"""Voice and keyboard in one round: a short answer is never taken for another dose than it meant."""

from __future__ import annotations

import threading

import pytest

from assistant.conversation.entries import DoseEndEntry, ExchangeEntry
from assistant.conversation.turn import Status
from assistant.language.heard import Channel, Heard
from assistant.session import Session
from tests.talk_scene import setting
from tests.unit.test_session import Shelf, Stopped


def begun(shelf: Shelf) -> Session:
    session = Session(setting(), shelf, Stopped())
    session.hear(Heard("yes"))
    return session


def spoken(words: str) -> Heard:
    return Heard(words, confidence=0.99, channel=Channel.VOICE, engine="an ear")


def ends(shelf: Shelf) -> list[str]:
    return [row.dose_id for row in shelf.rows if isinstance(row, DoseEndEntry)]


@pytest.mark.parametrize(
    "words", ["given", "part given", "not given", "scratch that", "no, eighty five", "yes", "no"]
)
def test_words_meant_for_the_dose_before_are_not_taken_for_the_next_one(words: str):
    shelf = Shelf()
    session = begun(shelf)
    session.hear(Heard("pepper 95"))
    since = session.changes
    session.hear(Heard("given"))
    session.hear(Heard("budgie 31"))
    turn = session.hear(spoken(words), since)
    assert (turn.status, turn.reason) == (Status.ASKED, "overtaken")
    assert "Open now: Budgerigar, 31 grams" in turn.reply.said
    assert len(ends(shelf)) == 1
    assert session.state.pending is not None


def test_said_again_they_are_taken():
    shelf = Shelf()
    session = begun(shelf)
    since = session.changes
    session.hear(Heard("budgie 31"))
    session.hear(spoken("given"), since)
    assert session.hear(spoken("given"), session.changes).reply.said.startswith("Given: Budgerigar")
    assert len(ends(shelf)) == 1


def test_what_is_not_taken_is_kept_with_what_was_answered():
    shelf = Shelf()
    session = begun(shelf)
    since = session.changes
    session.hear(Heard("budgie 31"))
    turn = session.hear(spoken("given"), since)
    row = shelf.rows[-1]
    assert isinstance(row, ExchangeEntry)
    assert (row.heard, row.reason, row.reply) == ("given", "overtaken", turn.reply.said)


def test_an_answer_to_another_question_is_not_taken_and_the_question_is_said_again():
    session = begun(Shelf())
    session.hear(Heard("cockatiel"))
    since = session.changes
    session.hear(Heard("95"))
    session.hear(Heard("given"))
    session.hear(Heard("cockatiel 200"))
    turn = session.hear(spoken("yes"), since)
    assert turn.reason == "overtaken"
    assert "Cockatiel, 200 grams?" in turn.reply.said


@pytest.mark.parametrize("words", ["cockatiel ninety five grams", "how many done", "help"])
def test_words_that_stand_by_themselves_are_taken(words: str):
    session = begun(Shelf())
    since = session.changes
    session.hear(Heard("rinsed the needle"))
    assert session.hear(spoken(words), since).reason != "overtaken"


def test_questions_and_noise_overtake_nobody():
    session = begun(Shelf())
    session.hear(Heard("budgie 31"))
    since = session.changes
    for words in ("help", "how many done", "blah blah", ""):
        session.hear(Heard(words))
    assert session.hear(spoken("given"), since).reply.said.startswith("Given: Budgerigar")


def test_many_terminals_at_once_take_turns():
    shelf = Shelf()
    session = begun(shelf)
    typed = [f"budgie {grams}" for grams in range(25, 41)]
    workers = [threading.Thread(target=session.hear, args=(Heard(one),)) for one in typed]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    heard = [row.heard for row in shelf.rows if isinstance(row, ExchangeEntry)]
    assert sorted(heard[1:]) == sorted(typed)
    doses = [row for row in shelf.rows if type(row).__name__ == "DoseEntry"]
    assert len(doses) == 1, "the first is open, and the others are asked about it"


def test_a_watcher_is_told_every_turn_in_order():
    session = begun(Shelf())
    told: list[tuple[str, str]] = []
    session.watch(lambda heard, turn: told.append((heard.words, turn.reply.said[:6])))
    session.hear(Heard("budgie 31"))
    session.hear(spoken("given"))
    assert told == [("budgie 31", "Budger"), ("given", "Given:")]
