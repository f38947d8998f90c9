"""What a keeper means to say, and what to say next to an answer, as a person would."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from assistant.conversation.turn import Status
from assistant.language.numerals import words

DONE = ""
"""Nothing more is to be said: the step is over."""


ANSWERS = {
    "Is that right?": "yes",
    "Was the needle changed?": "new needle",
    "may be ill": "new needle",
    "Was it given?": "scratch that",
}
"""What is said to questions that are not about this bird; a dose still open was of a mishearing."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What came back: the status, and the words."""

    status: str
    words: str


class Step(Protocol):
    """One thing that the keeper wants."""

    @property
    def opening(self) -> str:
        """What the keeper says first."""

    def react(self, reply: Reply) -> str:
        """What to say to a reply; `DONE` when it is the one that was wanted."""


@dataclass(frozen=True, slots=True)
class Bird:
    """A dose for a bird of a species and weight; `first` is said instead, the first time."""

    species: str
    grams: int
    called: str
    first: str = ""

    @property
    def weight(self) -> str:
        """The weight in words."""
        return f"{words(Decimal(self.grams))} grams"

    @property
    def request(self) -> str:
        """The whole request."""
        return f"{self.called} {self.weight}"

    @property
    def opening(self) -> str:
        """What the keeper says first."""
        return self.first or self.request

    def react(self, reply: Reply) -> str:
        """Compare bird and weight with what is read back; answer what is asked."""
        right_bird, right_weight = self.species in reply.words, f"{self.grams} gram" in reply.words
        if reply.status == Status.ANSWERED:
            if right_bird:
                return DONE if right_weight else f"no {self.weight}"
            return "scratch that"
        for asked, answer in ANSWERS.items():
            if asked in reply.words:
                return answer
        if "weighed wrong?" in reply.words:
            return "healthy adult" if right_bird and right_weight else self.opening
        if "or the next bird?" in reply.words:
            return "correction" if self.first else "next bird"
        if "?" not in reply.words:
            return self.opening
        if " or " in reply.words:
            offered = set(re.findall(r"[0-9]+", reply.words))
            return self.weight if len(offered) > 1 else self.called
        corrects = bool(self.first) and "a correction to" in reply.words
        return "yes" if right_weight and (right_bird or corrects) else "no"


@dataclass(frozen=True, slots=True)
class Order:
    """Anything else that is said, and how the answer begins that shows it was taken."""

    opening: str
    answer: str

    def react(self, reply: Reply) -> str:
        """Say it again until the answer is the one that was wanted."""
        taken = reply.status == Status.COMMAND or reply.words.startswith(self.answer)
        if taken and self.answer in reply.words:
            return DONE
        if "Is that right?" in reply.words:
            return "yes"
        if reply.status == Status.ASKED and "?" in reply.words:
            return "yes" if self.opening in reply.words.lower() else "no"
        return self.opening


@dataclass(frozen=True, slots=True)
class Talk:
    """People talk among themselves; whatever is asked about that is denied."""

    opening: str

    def react(self, reply: Reply) -> str:
        """Silence is right; a question is answered with no."""
        return "no" if reply.status == Status.ASKED else DONE


def given(bird: Bird, end: str = "given") -> Sequence[Step]:
    """A bird, and how its dose ends."""
    return bird, Order(end, f"{end.capitalize()}: {bird.species}, {bird.grams} grams")
