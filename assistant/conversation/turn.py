"""One turn of the conversation, as a value: what is said, shown, and kept."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from assistant.conversation.entries import Entry
from assistant.dosing.dose import Dose
from assistant.language.requests import Intent


class Status(StrEnum):
    """What became of an utterance; others build on these words.

    ANSWERED: a dose was said, and nothing else.  COMMAND: any other request that was recognised,
    also one that cannot be carried out.  ASKED: a question or a refusal.  IGNORED: nothing usable.
    """

    ANSWERED = "answered"
    COMMAND = "command"
    ASKED = "asked"
    IGNORED = "ignored"


class Cue(StrEnum):
    """What a short tone can say."""

    LISTENING = "listening"
    THINKING = "thinking"
    LOGGED = "logged"
    NOT_UNDERSTOOD = "not_understood"
    PAUSED = "paused"


@dataclass(frozen=True, slots=True)
class Reply:
    """One reply in two renderings of the same facts: short for the ear, fuller for the eye."""

    said: str
    shown: str = ""

    @property
    def for_eye(self) -> str:
        """What a screen shows."""
        return self.shown or self.said


@dataclass(frozen=True, slots=True)
class CutShort:
    """A reply that was stopped before what matters was out, and the question or dose in it."""

    reply: Reply
    about: object


@dataclass(frozen=True, slots=True)
class Manner:
    """How it talks: `pace` and `loudness` in steps from the usual, up to two either way."""

    short: bool = False
    pace: int = 0
    loudness: int = 0


@dataclass(frozen=True, slots=True)
class Facts:
    """What was understood and answered, for whoever reads it as data.

    `grams` is the bird alone.  What is not known is None.
    """

    species: str | None = None
    bird: str | None = None
    grams: Decimal | None = None
    medicine: str | None = None
    dose: Dose | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """The outcome of one utterance.  `entries` is what the register must keep of it.

    What is ignored gets no answer aloud, unless it `helps`; a `cue` is heard all the same.
    """

    status: Status
    intent: Intent | None
    reply: Reply
    reason: str | None = None
    facts: Facts = Facts()
    entries: tuple[Entry, ...] = ()
    ends: bool = False
    helps: bool = False
    cue: Cue | None = None

    @property
    def silent(self) -> bool:
        """Whether nothing is said aloud."""
        return self.status is Status.IGNORED and not self.helps
