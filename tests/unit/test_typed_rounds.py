"""What keepers type in the middle of a round: each phrase counts, or says what would."""

from __future__ import annotations

import pytest

from assistant.conversation.state import Ask
from assistant.conversation.turn import Status
from tests.talk_scene import Talk, begun, setting

OPEN = "Open: Cockatiel, 95 grams, 0.47 mL."
OF_A_ROUND = {
    "begin a round": "Listening.",
    "we're starting": "Listening.",
    "stop for a minute": "Not listening.",
    "can we take a break": "Not listening.",
    "yep it's full": "Needle full of this medicine.",
    "needle's been primed": "Needle full of this medicine.",
    "fourteen gauge": "Needle 14 gauge",
    "how much dead space": "Needle 14 gauge",
    "what cage are we on": "No cage was said.",
    "that's the lot for this cage": "Which cage?",
    "how many birds did i do": "0 birds given.",
    "cage one with eight budgies": "Cage 1, 8 birds.",
    "how many left in this cage": "No cage was said.",
    "what's the next one": "Which bird, and what does it weigh?",
    "new bottle": "When it is made, write it down",
    "bottle's nearly empty": "This round has no batch",
    "first budgie thirty": "Budgerigar, 30 grams",
    "that's everybody": "0 birds given. Goodbye.",
    "wrap it up": "0 birds given. Goodbye.",
    "finished for the day": "0 birds given. Goodbye.",
    "what did i give pepper": "Pepper: I know of no dose.",
    "tare": "No bag is set.",
    "i made up 100 mils of marigold": "When it is made, write it down",
    "made up a fresh bottle, 100 ml": "When it is made, write it down",
    "spilled ten mils": "This round has no batch",
    "start a round with marigold": "Marigold Demo is the medicine in use.",
    "we're switching over to thistle": "Thistle Demo, 50 mg per mL",
    "i've swapped needles": "New needle, dry.",
    "just put a clean needle on": "New needle, dry.",
    "box was fifteen": "Bag, 15 grams",
    "i zeroed the scales with the box on": "No bag:",
    "that's all for cage two": "Cage 2: 0 done.",
    "crikey, cockatiel 95": "Cockatiel, 95 grams.",
    "no, it's a budgie 30": "Budgerigar, 30 grams",
    "which birds haven't been done yet": "0 birds given. I have no list",
    "who do i have left to do": "0 birds given. I have no list",
    "back to thistle": "Thistle Demo, 50 mg per mL",
}
OF_A_DOSE = {
    "give me the last dose again": OPEN,
    "it was actually ninety eight": "Corrected: Cockatiel, 98 grams.",
    "is that right": "Cockatiel, 95 grams. 0.47 mL",
    "that seems too much": "Cockatiel, 95 grams. 0.47 mL",
    "did i give that one or not": OPEN,
    "i can't remember if i did that one": OPEN,
    "no that's wrong, ninety eight": "Corrected: Cockatiel, 98 grams.",
    "what was that, sorry": "Cockatiel, 95 grams. 0.47 mL",
    "how much did she get": OPEN,
    "what did we just give him": OPEN,
    "can you check that": "Cockatiel, 95 grams. 0.47 mL",
    "say it again slowly": "Cockatiel, 95 grams. 0.47 mL",
    "remind me what it was": "Cockatiel, 95 grams. 0.47 mL",
    "did the cockatiel get it yet": "Cockatiel: I know of no dose.",
    "shall i redose her": "No top-up",
    "do i give him some more": "No top-up",
    "that was in the box": "Say the right weight",
    "i forgot to take off the bag": "Say the right weight",
    "scales weren't tared": "Say the right weight",
    "oh no, wrong one": "Scratched: Cockatiel, 95 grams, 0.47 mL. Do not give it.",
    "i gave it to the wrong bird": "Stop. Needle out.",
    "sorry, that's the other one": "Scratched: Cockatiel, 95 grams, 0.47 mL. Do not give it.",
}


@pytest.mark.parametrize(("phrase", "start"), OF_A_ROUND.items())
def test_between_birds(phrase: str, start: str):
    assert begun().say(phrase).reply.said.startswith(start)


@pytest.mark.parametrize(("phrase", "start"), OF_A_DOSE.items())
def test_with_a_bird_in_the_hand(phrase: str, start: str):
    assert begun().say("cockatiel 95", phrase).reply.said.startswith(start)


@pytest.mark.parametrize(
    "phrase", ["is the other one there", "he wants that one", "thirty birds to go", "twice 3 times"]
)
def test_a_bird_that_is_only_pointed_at_or_counted_weighs_nothing(phrase: str):
    turn = begun().say(phrase)
    assert (turn.status, turn.reason) == (Status.IGNORED, "not_understood")


@pytest.mark.parametrize(
    "phrase", ["dropped the needle", "needle's blocked", "the needle is bent", "change the needle"]
)
def test_no_dose_goes_through_a_needle_that_is_to_be_changed(phrase: str):
    talk = begun()
    assert talk.say(phrase).reply.said.startswith("Not with that needle.")
    assert talk.say("cockatiel 95").reason == Ask.NEEDLE_CHANGED.value
    assert "Dry needle: draw to" in talk.say("new needle").reply.said


def test_the_syringe_of_an_open_dose_is_told_again():
    said = begun().say("galah 330", "which syringe do i use").reply.said
    assert said.endswith("Use the 2.5 mL syringe.")


def test_the_medicine_said_at_the_start_puts_the_whole_question_again():
    talk = Talk(setting())
    turn = talk.say("yes marigold")
    assert "Needle 14 gauge, 75 mm, new and dry. Is that right?" in turn.reply.said
    assert talk.say("yes").reply.said.startswith("Marigold Demo. Ready.")


@pytest.mark.parametrize(
    ("end", "answer"),
    [("part given", "No top-up"), ("not given", "The last dose was not given. Say the bird")],
)
def test_whether_to_give_it_again_is_answered_by_how_it_went(end: str, answer: str):
    assert begun().say("cockatiel 95", end, "do i give it again").reply.said.startswith(answer)


def test_a_sick_bird_may_be_named_after_it():
    assert "an ill bird" in begun().say("sick bird, cockatiel ninety").reply.said
