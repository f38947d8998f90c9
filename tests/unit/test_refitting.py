"""Another needle of the kit, chosen by voice: what was answered for the one before is void."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.conversation.entries import DoseEnd, DoseEndEntry, NoteEntry
from assistant.conversation.turn import Status
from assistant.dosing.needle import Needle, NeedleState
from assistant.language.lexicon import needle_names
from assistant.language.requests import Intent, NeedleSaid
from assistant.language.understanding import understand
from tests.talk_scene import begun, demo_lexicon, setting


@pytest.mark.parametrize(
    "phrase", ["twelve gauge needle", "12 gauge needle", "use the twelve gauge needle",
               "other needle"],
)  # fmt: skip
def test_the_other_needle_is_taken_as_dry(phrase: str):
    talk = begun()
    turn = talk.say("cockatiel 95", "given", phrase)
    assert turn.intent is Intent.NEEDLE
    assert turn.reply.said.startswith("Needle 12 gauge, 100 mm, dry. Check that it is tight.")
    assert talk.state.needle_state is NeedleState.DRY
    # bore 12 G × 100 mm 0.366 mL and hub 0.05 mL: 0.47 + 0.416 mL needs the next mark, 0.89 mL
    said = talk.say("cockatiel 95").reply.said
    assert "draw to 0.89 mL" in said


def test_an_open_dose_is_voided_and_worked_out_for_the_new_needle():
    talk = begun()
    turn = talk.say("pepper 95", "twelve gauge needle")
    assert turn.status is Status.ANSWERED
    assert "What was answered before is void. Corrected: Pepper, Cockatiel, 95 grams." in (
        turn.reply.said
    )
    ends = [entry for entry in turn.entries if isinstance(entry, DoseEndEntry)]
    assert [(end.dose_id, end.end, end.note) for end in ends] == [
        ("r1-1", DoseEnd.SCRATCHED, "needle changed")
    ]
    assert talk.state.pending is not None
    assert talk.state.pending.needle == "12 gauge, 100 mm"


def test_what_was_settled_about_the_bird_is_not_asked_again():
    turn = begun().say("cockatiel 200", "yes", "twelve gauge needle")
    assert turn.status is Status.ANSWERED
    assert turn.facts.grams == 200


def test_it_does_not_make_a_needle_clean_that_may_hold_another_medicine():
    talk = begun()
    turn = talk.say("switch to thistle", "twelve gauge needle")
    assert turn.reason == "flushed"
    assert talk.say("cockatiel 95").reason == "flushed"
    assert talk.say("new needle", "yes").facts.dose is not None


def test_the_round_is_confirmed_with_the_needle_that_was_chosen():
    talk = begun(remind_every=1)
    talk.say("cockatiel 95", "given", "cockatiel 95")
    turn = talk.say("twelve gauge needle")
    assert turn.reason == "round"
    assert "Needle 12 gauge, 100 mm, new and dry. Is that right?" in turn.reply.said


def test_it_is_noted_and_the_same_needle_is_no_change():
    talk = begun()
    turn = talk.say("twelve gauge needle")
    assert [e.text for e in turn.entries if isinstance(e, NoteEntry)] == ["12 gauge, 100 mm"]
    assert "in use" in talk.say("twelve gauge needle").reply.said


def test_which_of_three_is_asked():
    long = Needle(14, Decimal(100), called="long")
    three = (*setting().kit.needles, long)
    talk = begun(needles=three)
    said = talk.say("other needle").reply.said
    assert said == (
        "Which needle? Say fourteen gauge seventy five needle, twelve gauge needle or long needle."
    )


def test_a_needle_goes_by_its_gauge_and_by_the_keepers_word():
    one, other = Needle(14, Decimal(75), called="short"), Needle(12, Decimal(100))
    assert dict(needle_names((one, other))) == {
        "short": one, "fourteen gauge": one, "14 gauge": one,
        "twelve gauge": other, "12 gauge": other,
    }  # fmt: skip
    assert needle_names((one,)) == {}
    assert needle_names((one, replace(one, length_mm=Decimal(50)))).keys() >= {
        "fourteen gauge seventy five", "14 gauge 75", "fourteen gauge fifty",
    }  # fmt: skip


def test_the_grammar_knows_the_needles_of_the_kit():
    (request,) = understand("fourteen gauge needle", demo_lexicon()).requests
    assert request == NeedleSaid("fourteen gauge")
    assert demo_lexicon().needle("fourteen gauge") == setting().kit.needles[0]
