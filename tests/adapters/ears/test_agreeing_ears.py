"""Two ears that must agree: on ears that say what a test wants."""

from __future__ import annotations

import pytest

from assistant.adapters.ears.agreeing import AGREED, AgreeingEars
from assistant.audio import Clip
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Channel, Heard


class SaidEars:
    """An ear that hears what it was told to."""

    def __init__(self, words: str, deaf: str = "") -> None:
        self._words = words
        self._deaf = deaf
        self.name = self.model = f"says {words or 'nothing'}"

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Start."""

    def feed(self, clip: Clip) -> None:
        """Take in."""

    def finish(self) -> Heard:
        """Say it."""
        return Heard(self._words, 0.3, (), Channel.VOICE, self.name)

    def deaf_to(self) -> tuple[str, ...]:
        """What it was told."""
        return (self._deaf,)


def hear(first: str, second: str) -> Heard:
    ears = AgreeingEars(SaidEars(first), SaidEars(second), lambda words: words.replace("95", "ni"))
    ears.begin()
    ears.feed(Clip(b"\0\0"))
    return ears.finish()


def test_the_same_meaning_in_other_words_is_agreement():
    heard = hear("galah 95", "galah ni")
    assert (heard.words, heard.doubtful, heard.confidence) == ("galah 95", False, AGREED)
    assert heard.engine == "says galah 95 + says galah ni"


def test_a_difference_is_asked_about_with_the_rival_named():
    heard = hear("galah 95", "galah 85")
    assert heard.doubtful
    assert [one.words for one in heard.alternatives] == ["galah 85"]


@pytest.mark.parametrize(("first", "doubtful"), [("galah 95", True), ("", False)])
def test_what_the_second_does_not_hear_is_never_answered(first: str, *, doubtful: bool):
    heard = hear(first, "")
    assert (heard.words, heard.doubtful) == (first, doubtful)


def test_both_have_to_know_a_word():
    ears = AgreeingEars(SaidEars("", "weiro"), SaidEars("", "galah"), str)
    assert ears.deaf_to() == ["galah", "weiro"]
