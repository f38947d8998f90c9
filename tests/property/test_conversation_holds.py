"""Whatever is said, in whatever order: a turn comes back, and no dose goes unread-back."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.conversation.entries import (
    COUNTS_AS_FULL,
    IN_PLACE_OF,
    DoseEnd,
    DoseEndEntry,
    DoseEntry,
    ExchangeEntry,
)
from assistant.conversation.pot import stocked
from assistant.conversation.tally import done_today
from assistant.conversation.turn import Status
from assistant.language.heard import Channel, Heard
from assistant.language.requests import Intent
from assistant.stock.moves import Move, MoveKind
from tests.stock_scene import made_up
from tests.talk_scene import Talk, begun, setting

UTTERANCES = st.sampled_from([
    "cockatiel ninety five", "budgie thirty", "pepper ninety", "macaw 1.2 kg", "blue and gold",
    "macaw", "galah 0.3", "kilos", "grams", "cockatiel 200", "cockatiel 950", "cockatiel about 90",
    "cockatiel 90 or 95", "ostrich 95", "cockatiel chick 95", "hill mynah 200", "eighty five",
    "thirty one", "no, eighty five", "correction", "given", "part given", "not given",
    "don't know", "got away", "wrong bird", "scratch that", "another one", "next bird", "yes", "no",
    "say again", "new needle", "rinsed the needle", "needle is full", "which needle",
    "switch to thistle", "switch medicine", "which medicine", "bag is twelve", "bag is fifteen",
    "cockatiel 107 with the bag", "no bag", "how many done", "who is left", "help", "shaken",
    "stop listening", "start listening", "goodbye", "half dose", "top it up", "", "mumble mumble",
    "spilled it", "pot holds 30", "how much is left", "batch one", "without a batch",
    "cockatiel 95 budgie 30", "one kilo two", "-5", "marigold", "thistle for a cockatiel 95",
    "it's coughing", "fluid at the nose", "too much", "twelve gauge needle", "other needle",
    "cockatiel 70", "young bird", "sick bird", "healthy adult", "sick pepper 95", "breeding",
    "full crop", "sour crop", "budgie chick 30", "what is due",
    "that was eighty five not ninety five", "that was ninety", "saffron 30",
    "cage four two birds", "cage four", "next cage", "pair of cockatiels", "caught again",
    "that was the other bird", "cage four three birds",
])  # fmt: skip
"""Every kind of thing that a keeper says, sensible or not."""


WORDS = ["cockatiel", "ninety", "five", "no", "and", "95", "g", "kg", "a", "half", "oh", "given"]


@given(st.text(max_size=80) | st.text(alphabet="cockatiel 0123456789.,-kgoz", max_size=40))
def test_any_text_at_all_gives_a_turn(text: str):
    turn = Talk(setting(one_shot=True)).say(text)
    assert isinstance(turn.entries[0], ExchangeEntry)
    assert turn.entries[0].heard == text


@given(
    st.lists(st.sampled_from(WORDS)),
    st.floats(0, 1),
)
def test_known_words_in_any_order_give_a_turn(words: list[str], confidence: float):
    heard = Heard(" ".join(words), confidence, channel=Channel.VOICE, engine="test ear")
    begun().say(heard=heard)


@given(st.lists(UTTERANCES, max_size=30))
def test_in_any_order_every_step_keeps_what_must_hold(phrases: list[str]):
    """The checks themselves are in Talk: each dose is read back, none goes without an end."""
    talk = Talk(setting())
    talk.say("help", *phrases)
    counted = Counter(
        entry.end for entry in talk.entries if isinstance(entry, DoseEndEntry)
    )  # fmt: skip
    assert sum(talk.state.ended.values()) <= sum(counted.values())


@given(st.lists(UTTERANCES, max_size=30))
def test_counts_agree_with_the_rows(phrases: list[str]):
    """A scratched end counts no longer, and goodbye begins again from none."""
    talk = Talk(setting())
    talk.say("yes", *(phrase for phrase in phrases if phrase != "goodbye"))
    last: dict[str, DoseEnd] = {}
    for entry in talk.entries:
        if isinstance(entry, DoseEndEntry):
            last[entry.dose_id] = entry.end
    expected = Counter(end for end in last.values() if end is not DoseEnd.SCRATCHED)
    assert {end: count for end, count in talk.state.ended.items() if count} == expected


@given(st.lists(UTTERANCES, max_size=30))
def test_no_second_dose_is_said_before_the_first_has_its_end(phrases: list[str]):
    talk = Talk(setting())
    talk.say("yes", *phrases)
    rows = [entry for entry in talk.entries if isinstance(entry, DoseEntry | DoseEndEntry)]
    for before, after in pairwise(rows):
        if isinstance(before, DoseEntry) and isinstance(after, DoseEntry):
            pytest.fail(f"{after.dose_id} was said while {before.dose_id} was open")
    ids = [entry.dose_id for entry in rows if isinstance(entry, DoseEntry)]
    assert len(ids) == len(set(ids))


@given(st.lists(UTTERANCES, max_size=30))
def test_a_named_bird_never_has_two_full_doses_in_one_morning(phrases: list[str]):
    talk = Talk(setting())
    talk.say("yes", *(phrase.replace("cockatiel", "pepper") for phrase in phrases))
    doses = {e.dose_id: e for e in talk.entries if isinstance(e, DoseEntry)}
    # a dose that turns out to have been another bird's may well be its second: that is told
    ends = {
        e.dose_id: e.end
        for e in talk.entries
        if isinstance(e, DoseEndEntry) and not e.note.startswith(IN_PLACE_OF)
    }
    full = Counter(
        (dose.bird, dose.medicine)
        for key, dose in doses.items()
        if dose.bird and ends.get(key) in (DoseEnd.GIVEN, DoseEnd.PART_GIVEN, DoseEnd.NOT_KNOWN)
    )
    assert all(count == 1 for count in full.values())


@given(st.lists(UTTERANCES, max_size=30))
def test_a_bird_with_an_emergency_gets_nothing_more_in_its_round(phrases: list[str]):
    talk = Talk(setting())
    alarmed: set[str] = set()
    for phrase in ("yes", *(phrase.replace("cockatiel", "pepper") for phrase in phrases)):
        entry = talk.state.pending or talk.state.last
        turn = talk.say(phrase)
        if turn.facts.dose is not None:
            assert turn.facts.bird not in alarmed
        if turn.intent is Intent.EMERGENCY and turn.status is Status.COMMAND and entry:
            alarmed |= set(filter(None, [entry.bird]))
        if phrase == "goodbye" or turn.ends:
            alarmed.clear()


@given(st.lists(UTTERANCES, max_size=30))
def test_no_bird_without_a_name_is_dosed_beyond_the_count_of_its_cage(phrases: list[str]):
    talk = Talk(setting())
    talk.say("yes", "cage four two birds")
    for phrase in phrases:
        sitting, at = talk.state.sitting, talk.at
        birds = sitting.counted.get(sitting.cage or "")
        full = birds is not None and done_today(talk.state, sitting.cage or "", at) >= birds
        turn = talk.say(phrase)
        if turn.facts.dose is not None and full and talk.state.sitting.cage == sitting.cage:
            assert turn.facts.bird is not None or turn.intent is not Intent.DOSE


@given(st.lists(UTTERANCES, max_size=12))
def test_one_phrase_alone_never_waits_for_another(phrases: list[str]):
    for phrase in phrases:
        turn = Talk(setting(one_shot=True)).say(phrase)
        assert turn.reason != "round"
        assert not (turn.status is Status.COMMAND and turn.facts.dose)


@given(st.lists(UTTERANCES, max_size=30))
def test_the_books_of_a_round_are_those_of_its_rows(phrases: list[str]):
    """What the conversation says is left is what its moves make of the batch, to the last digit."""
    talk = Talk(setting())
    talk.state = stocked(talk.state, (made_up(),), talk.at)
    talk.say("yes", *phrases)
    moves = [entry for entry in talk.entries if isinstance(entry, Move)]
    (book,) = talk.state.stock.shelf
    assert book == made_up(*moves)
    ends = {e.dose_id: e.end for e in talk.entries if isinstance(e, DoseEndEntry)}
    doses = {e.dose_id: e.volume_ml for e in talk.entries if isinstance(e, DoseEntry)}
    drawn = {move.dose_id for move in moves if move.dose_id}
    full = [doses[key] for key, end in ends.items() if end in COUNTS_AS_FULL and key in drawn]
    assert book.out_ml(MoveKind.GIVEN) == sum(full, Decimal(0))
