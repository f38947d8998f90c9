"""Which recordings become examples, and of what: whole conversations through the real machine."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from assistant.conversation.labelling import Label, Ledger, Sort, follow, utterance
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.numerals import words
from tests.talk_scene import Talk, begun, demo_lexicon


@dataclass
class Kept:
    """A conversation whose utterances are numbered recordings, and their labels by now."""

    talk: Talk = field(default_factory=begun)
    ledger: Ledger = field(default_factory=Ledger)
    labels: dict[str, Label] = field(default_factory=dict)

    def say(self, *phrases: str | Heard) -> Kept:
        """Say the phrases, and take in what each settles."""
        for phrase in phrases:
            heard = phrase if isinstance(phrase, Heard) else Heard(phrase)
            turn = self.talk.say(heard=heard)
            said = utterance(str(len(self.talk.turns) - 1), heard.words, demo_lexicon())
            self.ledger, found = follow(self.ledger, said, turn, self.talk.state)
            self.labels |= {one.file: one for one in found}
        return self

    @property
    def texts(self) -> dict[str, tuple[str, str]]:
        """The texts and their sorts; "1" is the first phrase after the round's yes."""
        return {
            file: (one.text, one.sort.value)
            for file, one in sorted(self.labels.items())
            if one.text and one.sort
        }


def test_given_labels_the_recording_as_right():
    kept = Kept().say("cockatiel ninety five grams")
    assert kept.texts == {}
    assert kept.say("given").texts == {"1": ("cockatiel ninety five grams", "confirmed")}


def test_a_dose_that_was_not_given_labels_nothing():
    assert Kept().say("cockatiel ninety five grams", "not given").texts == {}


def test_no_eighty_five_makes_the_recording_before_an_example_of_eighty_five():
    kept = Kept().say("cockatiel ninety five grams", "no eighty five")
    assert kept.texts == {"1": ("cockatiel eighty five grams", "corrected")}
    assert kept.say("given").texts == {
        "1": ("cockatiel eighty five grams", "corrected"),
        "2": ("no eighty five", "confirmed"),
    }


def test_a_correction_that_was_misheard_is_put_right_as_well():
    kept = Kept().say("cockatiel ninety five grams", "no ninety nine", "no eighty nine", "given")
    assert kept.texts == {
        "1": ("cockatiel eighty nine grams", "corrected"),
        "2": ("no eighty nine grams", "corrected"),
        "3": ("no eighty nine", "confirmed"),
    }


def test_an_answer_to_a_question_labels_what_was_asked_about():
    doubtful = Heard(
        "galah three hundred and thirty grams", 0.4, (Alternative("galah 313 grams", 0.3),),
        Channel.VOICE, doubtful=True,
    )  # fmt: skip
    kept = Kept().say(doubtful, "three one three grams")
    assert kept.texts == {"1": ("galah three hundred and thirteen grams", "corrected")}


def test_a_scratch_with_a_new_weight_labels_what_was_scratched():
    kept = Kept().say("cockatiel ninety five grams", "scratch that")
    assert kept.texts == {}
    kept.say("cockatiel eighty five grams")
    assert kept.texts == {"1": ("cockatiel eighty five grams", "corrected")}


def test_a_scratch_after_given_takes_the_label_away():
    kept = Kept().say("cockatiel ninety five grams", "given", "scratch that")
    assert kept.texts == {}
    assert kept.labels["1"] == Label("1")


def test_a_scratch_before_quite_another_bird_labels_nothing():
    kept = Kept().say("cockatiel ninety five grams", "scratch that", "galah three hundred grams")
    assert kept.texts == {}


def test_the_wrong_bird_with_the_same_weight_is_an_example_of_the_right_one():
    kept = Kept().say("cockatiel ninety grams", "wrong bird", "galah ninety grams", "yes")
    kept.say("eastern rosella ninety grams")
    assert kept.texts["1"] == ("eastern rosella ninety grams", "corrected")


def test_a_bird_without_its_weight_is_labelled_as_it_was_said():
    kept = Kept().say("cockatiel", "ninety five grams", "given")
    assert kept.texts == {
        "1": ("cockatiel", "confirmed"),
        "2": ("ninety five grams", "confirmed"),
    }


def test_the_weight_in_a_label_is_that_on_the_scale_with_its_bag():
    kept = Kept().say("bag is twelve grams", "cockatiel one hundred and seven grams")
    kept.say("no one hundred and two grams", "given")
    assert kept.texts["2"] == ("cockatiel one hundred and two grams", "corrected")
    assert kept.texts["3"] == ("no one hundred and two grams", "confirmed")


def test_a_label_means_what_typing_it_means():
    grams = Decimal("95.5")
    kept = Kept().say("cockatiel ninety five grams", f"no {words(grams)} grams")
    again = utterance("x", kept.texts["1"][0], demo_lexicon())
    assert [one.grams for one in again.weights] == [grams]


def test_sorts_are_the_words_of_the_manifest():
    assert set(Sort) == {"confirmed", "corrected", "read"}
