"""What the talk loop needs beside ears, voice and speaker, and how it tells of itself."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass
from typing import Protocol

from assistant.audio import Clip
from assistant.conversation.turn import Manner, Reply, Turn
from assistant.language.heard import Heard
from assistant.ports import Ears, Loudness, Microphone, Onlooker, Phase, Speaker, Voice

_LOUDNESS_EVERY_S = 0.2


class LiveMicrophone(Microphone, Protocol):
    """A microphone that goes on recording while nobody reads it."""

    def clips(self) -> Generator[Clip, None, None]:
        """Short clips at 16 kHz, until closed; `GAP` again and again while it is gone."""

    def forget(self) -> None:
        """Drop what came in until now."""


class Partner(Protocol):
    """The conversation, as the loop knows it."""

    @property
    def manner(self) -> Manner:
        """How to talk from now on."""

    @property
    def foreseen(self) -> Sequence[str]:
        """Sentences with which the next replies may begin, to have them ready."""

    def attend(self) -> None:
        """Somebody begins to speak: what is heard next was meant as things stand now."""

    def hear(self, heard: Heard) -> Turn:
        """The turn that an utterance leads to, once it is kept."""

    def vital(self, reply: Reply) -> int:
        """How many characters of a reply must be out before the keeper may act on it."""

    def cut_short(self, reply: Reply) -> None:
        """A reply was stopped before what is vital in it was out."""

    def voiced(self, reply: Reply) -> None:
        """What is vital in a reply was heard."""

    def returned(self, away_s: float) -> Turn:
        """What to say when the microphone is back after so many seconds."""


@dataclass(frozen=True, slots=True)
class Equipment:
    """What a talk is held with; a `headset` keeps our voice out of the microphone."""

    ears: Ears
    voice: Voice
    microphone: LiveMicrophone
    speaker: Speaker
    headset: bool = False
    tones: bool = True


class Told:
    """An onlooker, told of each phase once and of the loudness now and then."""

    def __init__(self, onlooker: Onlooker) -> None:
        self._onlooker = onlooker
        self._phase: Phase | None = None
        self._since_s = 0.0
        self.turn = onlooker.turn
        self.notice = onlooker.notice

    def phase(self, phase: Phase) -> None:
        """What the loop does from now on."""
        if phase is not self._phase:
            self._phase = phase
            self._onlooker.phase(phase)

    def loudness(self, loudness: Loudness, seconds: float) -> None:
        """How loud a clip of so many seconds was."""
        self._since_s += seconds
        if self._since_s >= _LOUDNESS_EVERY_S:
            self._since_s = 0.0
            self._onlooker.loudness(loudness)
