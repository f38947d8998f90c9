"""How a dose ended, told from a keyboard in whatever words come to mind; and what is seen later."""

from __future__ import annotations

import pytest

from assistant.conversation.emergency import EMERGENCY
from assistant.conversation.entries import DoseEnd, DoseEndEntry, NoteEntry
from assistant.conversation.turn import Status
from tests.talk_scene import begun

ENDS = {
    DoseEnd.GIVEN: (
        "she's had it", "went down fine", "yep given", "he got it all down", "they took the lot",
        "all gone down", "that one's been dosed", "everything went in",
        "swallowed it all fine", "took the whole lot", "got it all", "bit back but got it in",
        "down the hatch", "went down easy", "in she goes", "gave it to her", "he's had his",
    ),
    DoseEnd.PART_GIVEN: (
        "he only got half", "some dribbled out", "she's brought most of it back up", "it vomited",
        "she sicked some up", "flicked it all out", "only took a bit of it", "most of it",
        "half of it came back", "about three quarters", "spat it out i mean", "got some down him",
        "half went on the floor",
    ),
    DoseEnd.NOT_GIVEN: (
        "haven't given it yet", "couldn't get it in", "he won't swallow it", "skip him",
        "she's got loose", "this one has escaped", "it slipped out of my hands",
        "never mind, leave that one", "nah leave it", "it bit me and got away",
    ),
    DoseEnd.NOT_KNOWN: ("not sure it all went in",),
    DoseEnd.SCRATCHED: ("cancel that dose", "undo that one"),
}  # fmt: skip
TOO_LITTLE_TOLD = [
    "gave 0.3",
    "only 0.3 ml went in",
    "dropped it",
    "i lost him",
    "good, next",
    "given i think",
    "maybe given",
    "i don't think i gave it",
    "the needle slipped",
    "he's already been done",
    "done and dusted",
]
ALARMS = [
    "it's gone floppy", "i think i gave too much", "gave it twice", "went down the wrong pipe",
    "i gave her the wrong medicine", "the cockatiel's bleeding", "my galah is gasping",
    "she's passed out", "it's in the lungs", "coughed a bit but kept it down", "it coughed once",
]  # fmt: skip


@pytest.mark.parametrize(
    ("end", "phrase"), [(end, phrase) for end, phrases in ENDS.items() for phrase in phrases]
)
def test_an_end_is_told_in_any_words(end: DoseEnd, phrase: str):
    turn = begun().say("cockatiel 95", phrase)
    assert [row.end for row in turn.entries if isinstance(row, DoseEndEntry)] == [end]


@pytest.mark.parametrize("phrase", TOO_LITTLE_TOLD)
def test_what_tells_too_little_of_an_end_is_asked_about_and_is_no_weight(phrase: str):
    turn = begun().say("cockatiel 95", phrase)
    assert (turn.status, turn.reason) == (Status.ASKED, "open_dose")


@pytest.mark.parametrize("phrase", ALARMS)
def test_more_words_of_alarm_get_the_line(phrase: str):
    assert begun().say("cockatiel 95", phrase).reply.said == EMERGENCY


@pytest.mark.parametrize(
    "phrase",
    [
        "it died",
        "the cockatiel's dead",
        "he just died in my hand",
        "dead bird",
        "a dead bird",
        "one died",
        "found it dead",
    ],
)
def test_a_death_is_noted_and_the_dose_asked_about(phrase: str):
    turn = begun().say("pepper 95", phrase)
    assert turn.reply.said.startswith("Written: a bird died. Tell the vet. The dose for Pepper")
    notes = [(one.kind, one.text) for one in turn.entries if isinstance(one, NoteEntry)]
    assert notes == [("died", "r1-1, Pepper, Cockatiel, 95 grams, 0.47 mL")]


@pytest.mark.parametrize("phrase", ["brought it up", "the last one vomited"])
def test_a_bird_that_brings_it_up_after_given_had_its_dose_in_part_and_gets_no_other(phrase: str):
    talk = begun()
    turn = talk.say("cockatiel 95", "given", phrase)
    assert turn.reply.said.startswith("Part given: Cockatiel, 95 grams, 0.47 mL.")
    assert [one.end for one in turn.entries if isinstance(one, DoseEndEntry)] == ["part_given"]
    assert talk.say("how many done").reply.said == "0 birds given. Also 1 part given."
    assert talk.say("cockatiel 95").reason == "same_bird"


def test_a_given_dose_is_not_taken_back_by_half_a_sentence():
    turn = begun().say("cockatiel 95", "given", "not given")
    assert turn.reply.said == (
        "No dose is open. The last one, Cockatiel, 95 grams, 0.47 mL, is written as given. "
        "If that is wrong, say scratch that."
    )
    assert not [one for one in turn.entries if isinstance(one, DoseEndEntry)]


@pytest.mark.parametrize(
    ("words", "reason"),
    [("undiluted", "strength"), ("at 1 in 5", "strength"), ("neat", "strength"),
     ("by injection", "by_mouth"), ("in the water", "by_mouth"), ("spot on", "by_mouth")],
)  # fmt: skip
@pytest.mark.parametrize("frame", ["cockatiel 95 grams {}", "{} for a cockatiel 95 grams"])
def test_another_strength_or_route_is_refused_with_its_reason(words: str, reason: str, frame: str):
    turn = begun().say(frame.format(words))
    assert (turn.status, turn.reason, turn.facts.dose) == (Status.ASKED, reason, None)
