"""What an earlier round left open, the power gone or the window closed, is asked about first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import pytest

from assistant.adapters.register.nothing import NoRegister
from assistant.conversation.entries import DoseEndEntry, DoseEntry, Entry
from assistant.conversation.turn import Turn
from assistant.dosing.needle import NeedleState
from assistant.language.heard import Heard
from assistant.session import Session
from tests.talk_scene import MORNING, setting

ASKED = "Was it given? Say given, part given, not given or don't know."


class Stopped:
    """A clock that stands still."""

    def now(self):
        """The one moment there is."""
        return MORNING


@dataclass
class Kept(NoRegister):
    """A register with doses that have no end."""

    left: tuple[DoseEntry, ...] = ()
    rows: list[Entry] = field(default_factory=list)

    def append(self, entries: Sequence[Entry]) -> None:
        """Note the rows."""
        self.rows += entries

    def left_open(self) -> tuple[DoseEntry, ...]:
        """What an earlier round left open."""
        return self.left

    @property
    def ends(self) -> list[tuple[str, str]]:
        """Which doses have their end now, and which."""
        ends = [row for row in self.rows if isinstance(row, DoseEndEntry)]
        return [(row.dose_id, row.end.value) for row in ends]


def said_before(*phrases: str) -> tuple[DoseEntry, ...]:
    """The doses of an earlier round in which this was said."""
    kept = Kept()
    begun(kept, "yes", *phrases)
    return tuple(row for row in kept.rows if isinstance(row, DoseEntry))


def begun(kept: Kept, *phrases: str) -> tuple[Session, list[Turn]]:
    one = Session(setting(), kept, Stopped())
    return one, [one.hear(Heard(phrase)) for phrase in phrases]


PEPPER = said_before("pepper 95")
TIEL = said_before("cockatiel 85")


def test_the_first_words_are_about_the_dose_that_was_left_open():
    one, _ = begun(Kept(PEPPER))
    expected = "The last round stopped. The dose for Pepper, Cockatiel, 95 grams, 0.47 mL is"
    assert one.greeting == f"{expected} still open. {ASKED}"


@pytest.mark.parametrize(
    ("answer", "end"),
    [
        ("given", "given"),
        ("yes", "given"),
        ("no", "not_given"),
        ("part given", "part_given"),
        ("don't know", "not_known"),
        ("scratch that", "scratched"),
    ],
)
def test_its_end_is_kept_and_then_the_round_begins(answer: str, end: str):
    kept = Kept(PEPPER)
    one, (turn, ready) = begun(kept, answer, "yes")
    assert kept.ends == [(PEPPER[0].dose_id, end)]
    assert "Next: This round: Marigold Demo" in turn.reply.said
    assert turn.reply.said.endswith("new and dry. Is that right?"), "the needle may be another"
    assert ready.reply.said.startswith("Marigold Demo. Ready.")
    assert one.state.needle_state is NeedleState.DRY


def test_one_after_the_other_is_asked_about():
    kept = Kept((*PEPPER, *TIEL))
    _, turns = begun(kept, "given", "not given", "yes")
    assert "Next: The last round stopped. The dose for Cockatiel, 85 grams" in turns[0].reply.said
    assert "Next: This round" in turns[1].reply.said
    assert [end for _, end in kept.ends] == ["given", "not_given"]


def test_a_bird_waits_until_it_is_known_what_became_of_the_last():
    kept = Kept(PEPPER)
    one, turns = begun(kept, "cockatiel 102", "given", "yes")
    assert turns[0].reply.said.startswith("Wait. The 0.47 mL for Pepper is still open.")
    assert turns[1].reply.said.startswith("Given: Pepper, Cockatiel, 95 grams, 0.47 mL. Next: This")
    assert turns[2].reply.said.startswith("Cockatiel, 102 grams. 0.51 mL")
    assert one.state.left_open == ()


def test_a_bird_that_had_it_is_guarded():
    kept = Kept(PEPPER)
    _, turns = begun(kept, "given", "yes", "pepper 95")
    assert turns[-1].reason == "already_dosed"


def test_leaving_leaves_nothing_out():
    kept = Kept((*PEPPER, *TIEL))
    _, turns = begun(kept, "goodbye", "given")
    assert turns[0].reply.said.startswith("The dose for Pepper")
    assert turns[1].ends
    assert [end for _, end in kept.ends] == ["given"], "the other is asked about the next time"


def test_a_single_question_is_answered_at_once():
    one_shot = Session(replace(setting(), one_shot=True), Kept(PEPPER), Stopped())
    assert one_shot.hear(Heard("cockatiel 95")).facts.dose is not None
