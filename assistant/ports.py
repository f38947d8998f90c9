"""The ports: what the assistant needs of the world, each as small as it can be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Protocol

from assistant.audio import Clip
from assistant.conversation.entries import DoseEntry, Entry
from assistant.conversation.state import Dosings
from assistant.conversation.turn import Turn
from assistant.dosing.medicine import Medicine
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Heard
from assistant.records.due import Repeat
from assistant.stock.books import Shelf


class Ears(Protocol):
    """A speech engine bound to one grammar.  Feed one utterance at a time.

    `begin`, then `feed` with clips at 16 kHz, then `finish`.  An utterance of which nothing could
    be made is a `Heard` with empty words, never an exception.  Whatever comes in, the work that an
    ear does is bounded.

    What is `expected` is what an ear may listen for first.  It must not make an answer of anything
    else: an ear that cannot weigh both leaves it aside.
    """

    @property
    def name(self) -> str:
        """The engine and its version, for the register."""

    @property
    def model(self) -> str:
        """The model in use, as a keeper would recognise it."""

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Forget what came before and start an utterance, which is likely to be as expected."""

    def feed(self, clip: Clip) -> None:
        """Take in a piece of the utterance."""

    def finish(self) -> Heard:
        """End the utterance and say what was heard."""

    def deaf_to(self) -> Sequence[str]:
        """The words of the grammar that this engine cannot hear."""


class Voice(Protocol):
    """A speech synthesiser: words in, sound out."""

    @property
    def name(self) -> str:
        """The engine and the voice in use."""

    def render(self, words: str, pace: float = 1.0) -> Clip:
        """The words as sound, so many times as fast as the voice usually speaks."""


class Microphone(Protocol):
    """Sound coming in."""

    @property
    def name(self) -> str:
        """The device, as the system names it."""

    def clips(self) -> Iterator[Clip]:
        """Short clips at 16 kHz until the device ends or the iterator is closed."""


class Playback(Protocol):
    """Sound on its way out, to which more can be added."""

    def add(self, clip: Clip) -> None:
        """Play it after what was added before."""

    @property
    def out_s(self) -> float:
        """How many seconds of what was added are out; raises AudioProblem."""

    @property
    def is_out(self) -> bool:
        """Whether all that was added is out; raises AudioProblem."""


class Speaker(Protocol):
    """Sound going out."""

    @property
    def name(self) -> str:
        """The device, as the system names it."""

    def begin(self) -> AbstractContextManager[Playback]:
        """Begin to play; at the end of the context what is not out yet is cut."""

    def play(self, clip: Clip) -> None:
        """Play the clip and return when its last sample is out."""


class Register(Protocol):
    """The book: append only."""

    def append(self, entries: Sequence[Entry]) -> None:
        """Write all entries or none, safe on disk when this returns; raises RegisterProblem."""

    def dosed_since(self, mark: int) -> Dosings:
        """What became of full doses since the mark, whoever wrote it; raises RegisterProblem.

        Mark 0 tells of all.
        """

    def left_open(self) -> Sequence[DoseEntry]:
        """The doses of rounds that no end was written of, in order; raises RegisterProblem.

        A single question is no round.
        """

    def windows(self, medicines: Sequence[Medicine], today: date) -> tuple[Repeat, ...]:
        """The windows for a next dose that are open today; raises RegisterProblem."""

    def shelf_since(self, mark: int) -> Shelf:
        """The last batches where a move of stock came after the mark; raises RegisterProblem.

        The mark counts moves; 0 tells of all.
        """


class Clock(Protocol):
    """The time of day."""

    def now(self) -> datetime:
        """Now, with its offset from UTC."""


class Phase(StrEnum):
    """What the talk loop is doing.

    LISTENING: nobody speaks.  HEARING: somebody does.  THINKING: they have ended, and what they
    said is worked out.  SPEAKING: the answer is being spoken.  DEAF: the microphone is gone.
    """

    LISTENING = "listening"
    HEARING = "hearing"
    THINKING = "thinking"
    SPEAKING = "speaking"
    DEAF = "deaf"


@dataclass(frozen=True, slots=True)
class Loudness:
    """The level of the sound now, and of the noise of the last seconds, below 1 kHz, in dBFS."""

    level_db: float
    noise_db: float


class Onlooker(Protocol):
    """Whoever watches a talk: a screen, another terminal, a test.

    All is told from the loop's own thread, in the order in which it happens; what takes long holds
    the talk up.
    """

    def phase(self, phase: Phase) -> None:
        """What the loop does from now on; told when it changes, and again after each answer."""

    def loudness(self, loudness: Loudness) -> None:
        """How loud it is at the microphone, several times a second while it listens."""

    def turn(self, heard: Heard, turn: Turn) -> None:
        """What was heard or typed and what it led to; also what gets no answer.

        It is in the register by then, and not spoken yet.
        """

    def notice(self, text: str) -> None:
        """What else the keeper must know, such as a device that is gone; it may be spoken too."""
