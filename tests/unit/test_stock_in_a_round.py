"""A round that draws from a batch: what it offers, counts, warns of and refuses."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from assistant.conversation.drafting import round_question
from assistant.conversation.expecting import expected
from assistant.conversation.pot import NEVER_BACK, stocked
from assistant.conversation.rounds import STOCK_HELP
from assistant.conversation.state import Ask
from assistant.conversation.stocking import LATER, MEASURE, NO_BATCH
from assistant.dosing.quantities import decimal_text
from assistant.language.expected import Saying
from assistant.language.heard import Channel, Heard
from assistant.stock.books import Book
from assistant.stock.moves import Move, MoveKind
from tests.stock_scene import POT, made_up, moved
from tests.talk_scene import Talk, setting


def talk(*books: Book, begin: bool = True) -> Talk:
    """A conversation with these pots on the shelf, its round begun."""
    one = Talk(setting())
    one.state = stocked(one.state, books or (made_up(),), one.at)
    if begin:
        one.say("yes")
    return one


def numbered(number: int, **changes: object) -> Book:
    """A pot of 50 mL of another number, with some of its facts changed."""
    batch = replace(POT, number=number, batch_id=f"2026-03-01-{number}", **changes)  # type: ignore[arg-type]  # each test names a field it knows
    return Book(batch, {MoveKind.MADE: Decimal(50)})


def moves(one: Talk) -> list[Move]:
    return [entry for entry in one.entries if isinstance(entry, Move)]


def in_short(one: Talk) -> list[tuple[str, str]]:
    return [(move.kind.value, decimal_text(move.change_ml)) for move in moves(one)]


def left(one: Talk) -> Decimal:
    book = one.state.stock.book
    assert book is not None
    return book.left_ml


def test_without_a_batch_nothing_is_said_of_stock_and_nothing_booked():
    one = Talk(setting())
    assert "atch" not in round_question(one.state)
    one.say("yes", "cockatiel 95", "given", "budgie 30", "not given")
    assert moves(one) == []
    assert not any("pot" in turn.reply.said.split() for turn in one.turns)
    assert Saying.BATCH not in expected(Talk(setting()).state, setting())


def test_what_a_bird_brings_up_after_given_takes_nothing_more_out_of_the_pot():
    one = talk()
    one.say("cockatiel 95", "given")
    before = left(one)
    one.say("brought it up")
    assert left(one) == before


def test_a_round_begins_with_the_newest_good_batch():
    old = numbered(3, discard_by=POT.at - timedelta(days=1))
    one = talk(made_up(), numbered(2), old, begin=False)
    assert "Batch 2, about 50 mL left." in round_question(one.state)
    assert Saying.BATCH in expected(one.state, one.setting)


def test_a_primed_dose_takes_the_mark_it_was_drawn_to_and_a_full_needle_the_dose():
    one = talk()
    one.say("cockatiel 95", "given", "cockatiel 90", "given")
    assert in_short(one) == [
        ("given", "-0.47"), ("kept", "-0.2008"), ("surplus", "-0.0092"), ("given", "-0.45"),
    ]  # fmt: skip
    assert left(one) == 50 - Decimal("0.68") - Decimal("0.45")
    assert {move.dose_id for move in moves(one)} == {"r1-1", "r1-2"}


def test_every_new_needle_is_one_more_priming():
    one = talk()
    for _ in range(3):
        one.say("new needle", "cockatiel 95", "given")
    kept = [move.change_ml for move in moves(one) if move.kind is MoveKind.KEPT]
    assert kept == [-one.state.needle.dead_ml] * 3


@pytest.mark.parametrize("end", ["part given", "don't know"])
def test_a_dose_in_part_or_not_known_left_the_pot_as_a_whole(end: str):
    one = talk()
    one.say("cockatiel 95", end)
    assert in_short(one)[0] == ("given", "-0.47")
    assert left(one) == 50 - Decimal("0.68")


@pytest.mark.parametrize("end", ["not given", "it got away"])
def test_what_was_not_given_is_lost_and_never_poured_back(end: str):
    one = talk()
    said = one.say("cockatiel 95", end).reply.said
    assert said.endswith(NEVER_BACK)
    assert in_short(one)[0] == ("lost", "-0.47")


def test_a_dose_that_is_scratched_while_open_was_never_drawn():
    one = talk()
    one.say("cockatiel 95", "scratch that")
    one.say("cockatiel 95", "no, eighty five", "given")
    assert in_short(one)[0] == ("given", "-0.42")
    assert sum(move.change_ml for move in moves(one)) == -Decimal("0.63")


def test_a_dose_that_is_scratched_afterwards_comes_back_and_the_priming_does_not():
    one = talk()
    one.say("cockatiel 95", "given", "scratch that")
    assert in_short(one)[-1] == ("given", "0.47")
    assert left(one) == 50 - Decimal("0.21")
    one.say("cockatiel 95", "given")
    assert left(one) == 50 - Decimal("0.68")


def test_how_much_is_left_counts_on_todays_mean():
    one = talk(made_up(moved(MoveKind.THROWN, "-35.2")))
    assert one.say("how much is left").reply.said == "About 14 mL."
    one.say("galah 140", "healthy adult", "given")
    said = one.say("enough for how many").reply.said
    assert said == "About 13 mL; enough for about 19 more at today's average."
    one.say("galah 140", "healthy adult")
    assert one.say("how much is left").reply.said.startswith("About 13 mL; enough for about 18")


def test_low_stock_is_said_once_and_an_empty_pot_once():
    one = talk(made_up(moved(MoveKind.THROWN, "-46")))
    said = [one.say("cockatiel 98", "given").reply.said for _ in range(9)]
    assert [("Low: about" in text, "is empty" in text) for text in said] == [
        *[(False, False)] * 2, (True, False), *[(False, False)] * 4, (False, True), (False, False),
    ]  # fmt: skip
    assert "Low: about 2.3 mL; enough for about 4 more at today's average." in said[2]


def test_a_batch_is_chosen_by_its_number_for_the_whole_round():
    one = talk(made_up(), numbered(2), begin=False)
    said = one.say("batch one").reply.said
    assert said.startswith("Batch 1, about 50 mL. This round: Marigold Demo")
    one.say("yes", "cockatiel 95", "given")
    assert {move.batch_id for move in moves(one)} == {POT.batch_id}


def test_a_pot_can_be_changed_between_two_birds():
    one = talk(made_up(), numbered(2))
    one.say("cockatiel 95", "given", "batch one", "cockatiel 95", "given")
    assert [move.batch_id[-1] for move in moves(one)] == ["2", "2", "2", "1"]


REFUSED: list[tuple[Callable[[], Book], str]] = [
    (
        lambda: numbered(2, discard_by=POT.at),
        "Batch 2 has been out of date since 1 March: throw it away.",
    ),
    (lambda: numbered(2, medicine="Thistle Demo"), "Batch 2 is Thistle Demo; this round is"),
    (
        lambda: numbered(2, strength="50 mg per mL, diluted 1 in 10"),
        "The doses are for 25 mg per mL",
    ),
    (lambda: replace(numbered(2), sums={}), "Batch 2 is empty by the books."),
    (lambda: numbered(3), "I know of no batch 2. There is batch 1, 3."),
]


@pytest.mark.parametrize(("other", "said"), REFUSED)
def test_a_batch_that_is_not_for_the_round_is_refused(other: Callable[[], Book], said: str):
    one = talk(made_up(), other())
    before = one.state.stock.batch_id
    assert said in one.say("batch two").reply.said
    assert one.state.stock.batch_id == before


def test_a_round_without_a_batch_is_counted_nowhere():
    one = talk(begin=False)
    assert one.say("without a batch").reply.said.startswith("Without a batch")
    one.say("yes", "cockatiel 95", "given")
    assert moves(one) == []
    assert one.say("how much is left").reply.said == NO_BATCH


def test_a_pot_that_is_out_of_date_is_told_of_when_the_round_begins_and_not_again():
    one = talk(numbered(2, discard_by=POT.at), begin=False)
    assert "Batch 2 has been out of date since 1 March: throw it away." in round_question(one.state)
    one.say("yes")
    assert "atch" not in round_question(one.state)
    assert one.say("cockatiel 95").facts.dose is not None


def test_no_dose_is_said_from_a_pot_that_went_out_of_date_in_the_round():
    one = talk()
    one.say("cockatiel 95", "given")
    one.at += timedelta(days=2)
    turn = one.say("cockatiel 95")
    assert (turn.reason, turn.facts.dose) == ("out_of_date", None)
    assert turn.reply.said.startswith("Batch 1 has been out of date since 3 March: throw it away.")
    one.say("without a batch")
    assert one.say("cockatiel 95").facts.dose is not None


def test_a_spill_asks_what_is_left_and_books_the_rest():
    one = talk()
    one.say("cockatiel 95", "given")
    assert one.say("spilled it").reply.said == MEASURE
    assert Saying.POT in expected(one.state, one.setting)
    said = one.say("pot holds thirty").reply.said
    assert said == "Left in the pot: 30 mL, three zero. Spilled: 19.32 mL."
    assert in_short(one)[-1] == ("spilled", "-19.32")
    assert left(one) == 30


@pytest.mark.parametrize("answer", ["30", "thirty", "30 mL", "measured 30 ml"])
def test_a_bare_number_is_in_millilitres_once_the_pot_was_asked_about(answer: str):
    one = talk()
    one.say("spilled it", answer)
    assert left(one) == 30


@pytest.mark.parametrize("answer", ["30 grams", "0.03 kg", "60 mL", "51"])
def test_what_the_pot_cannot_hold_is_asked_again(answer: str):
    one = talk()
    one.say("spilled it", answer)
    assert one.state.asked(Ask.MEASURED)
    assert left(one) == 50


def test_a_spill_can_wait_and_holds_up_no_bird():
    one = talk()
    assert one.say("spilled it", "no").reply.said == LATER
    assert one.say("spilled it", "cockatiel 95").facts.dose is not None
    one.say("given")
    one.say("pot holds forty")
    assert left(one) == 40


def test_a_bird_that_was_asked_about_waits_behind_the_spill():
    one = talk()
    one.say("cockatiel", "spilled it", "pot holds forty")
    assert one.state.asked(Ask.NO_WEIGHT)
    assert one.say("95").facts.dose is not None


def test_a_hidden_loss_is_reported_when_the_pot_is_measured():
    one = talk()
    said = one.say("pot holds forty nine").reply.said
    assert "1 mL less than the books said. A spill, or a dose that was not said?" in said
    assert in_short(one) == [("measured", "-1")]
    assert one.say("pot holds 49").reply.said.endswith("The books agree.")


def test_a_volume_that_nobody_asked_for_is_no_measuring():
    one = talk()
    assert one.say("49 mL").reason == "nothing_asked"
    assert moves(one) == []


def test_another_medicine_has_another_batch():
    thistle = numbered(
        2, medicine="Thistle Demo", strength="50 mg per mL, diluted 1 in 5",
        dilution="1 part product and 4 parts water, 1 in 5",
    )  # fmt: skip
    one = talk(made_up(), thistle)
    assert one.state.stock.batch_id == POT.batch_id
    one.say("switch to thistle")
    assert "Batch 2, about 50 mL left." in one.say("new needle").reply.said


def test_a_single_phrase_knows_of_no_stock():
    one = Talk(setting(one_shot=True))
    one.say("cockatiel 95", "given")
    assert moves(one) == []


def test_a_spill_is_still_one_when_the_dose_was_ended_before_the_pot_was_measured():
    one = talk()
    one.say("cockatiel 95", "spilled it", "given", "pot holds thirty")
    assert in_short(one)[-1] == ("spilled", "-19.32")
    one.say("pot holds 29")
    assert in_short(one)[-1] == ("measured", "-1")


def test_more_than_the_books_said_is_no_spill():
    one = talk(made_up(moved(MoveKind.THROWN, "-10")))
    said = one.say("pot holds 42").reply.said
    assert "2 mL more than the books said. Was a dose not drawn?" in said


def test_a_pot_that_is_empty_by_the_books_is_called_so():
    one = talk(made_up(moved(MoveKind.THROWN, "-49.5")))
    one.say("cockatiel 95", "given")
    assert one.say("what is in the pot").reply.said == "Empty by the books."


def test_help_names_what_can_be_said_of_the_stock_where_there_is_some():
    assert talk().say("help").reply.said.endswith(STOCK_HELP)
    assert STOCK_HELP not in Talk(setting()).say("help").reply.said


@pytest.mark.parametrize("words", ["pot holds thirty", "spilled the pot", "batch one"])
def test_what_an_ear_is_not_sure_of_is_asked_about_before_it_is_done(words: str):
    one = talk(made_up(), numbered(2))
    one.say("spilled the pot")
    before = one.state.stock
    unsure = Heard(words, 0.6, channel=Channel.VOICE, engine="test ear", doubtful=True)
    assert words[:4] in one.say(heard=unsure).reply.said
    assert one.state.stock == before
    assert one.say("yes").reply.said
    assert (one.state.stock != before) == (words != "spilled the pot")


def test_a_dose_that_another_bird_had_leaves_the_pot_as_it_is():
    one = talk(made_up())
    one.say("pepper 95", "given")
    before = left(one)
    turn = one.say("that was the other bird", "saffron 30")
    assert left(one) == before
    assert sum(move.change_ml for move in moves(one)[-2:]) == 0
    assert [row.dose_id for row in turn.entries if isinstance(row, Move)] == ["r1-1", "r1-2"]
    one.say("scratch that")
    assert left(one) == before + Decimal("0.47"), "it can be scratched like any other"
