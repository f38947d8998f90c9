"""What the bench is made of: phrases, voices, conditions, and the trials they make up."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Part(StrEnum):
    """Which half of the bench: what may be fitted on, and what may only be measured on."""

    DEVELOPMENT = "development"
    TEST = "test"


class Kind(StrEnum):
    """What an utterance is, and with that what may become of it."""

    DOSE = "dose"
    OTHERWISE = "otherwise"
    CONTROL = "control"
    WEIGHT_ONLY = "weight_only"
    CUT_OFF = "cut_off"
    CHATTER = "chatter"
    BIRD_TALK = "bird_talk"
    NOISE = "noise"


DOSES = frozenset({Kind.DOSE, Kind.OTHERWISE})
"""The kinds that ask for a dose and may be answered with one."""


@dataclass(frozen=True, slots=True)
class Truth:
    """What a dose request asks for, by the text path: the common name, grams, and millilitres."""

    species: str
    grams: Decimal
    dose_ml: Decimal


@dataclass(frozen=True, slots=True)
class Phrase:
    """Something said.  `bird` and `weight` are its words for them, `style` how the number is said.

    `intent` and `kind_said` are what a control phrase is by the text path.
    """

    kind: Kind
    text: str
    truth: Truth | None = None
    bird: str = ""
    weight: str = ""
    style: str = ""
    intent: str | None = None


@dataclass(frozen=True, slots=True)
class Voice:
    """A speaker: an engine, its voice, a tempo, and a warp of pitch and formants together."""

    engine: str
    name: str
    tempo: float = 1.0
    warp: float = 1.0

    @property
    def key(self) -> str:
        """The voice as parts.toml and the tables write it."""
        return f"{self.engine} {self.name} {self.tempo:g} {self.warp:g}"


AS_RECORDED = "as recorded"
"""The fault of a recording that is heard as it is, whatever is wrong with it."""


@dataclass(frozen=True, slots=True)
class Condition:
    """How the speech reaches the microphone; without noise and fault it is called clean."""

    noise: str | None = None
    snr_db: float | None = None
    room: str | None = None
    fault: str | None = None

    @property
    def name(self) -> str:
        """The condition as a row's name."""
        noise = self.noise or ""
        if self.snr_db is not None:
            noise = f"{noise} {self.snr_db:g} dB"
        return ", ".join(filter(None, (noise, self.room, self.fault))) or "clean"


@dataclass(frozen=True, slots=True)
class Trial:
    """One utterance of the bench: all that its audio follows from, and nothing else.

    `number` counts the trials of a kind; `seconds` is how long noise alone lasts.
    """

    part: Part
    number: int
    phrase: Phrase
    voice: Voice | None
    condition: Condition
    seconds: float = 0.0

    @property
    def name(self) -> str:
        """A name of its own within the bench; the trial's chance is drawn from it."""
        voice = self.voice.key if self.voice else "nobody"
        said = f"{self.phrase.kind}|{self.phrase.text}|{voice}|{self.condition.name}"
        return f"{self.part}|{self.number}|{said}"
