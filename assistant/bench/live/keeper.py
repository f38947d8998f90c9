"""The keeper: talks through a sound card, listens for the end of each answer, and reacts.

What was understood is read in the register, whose words are those that are spoken; when the answer
is over is heard.  Nothing waits for a fixed time that a busy machine could miss: a phrase that led
to nothing is said again.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.bench.acoustic.records import Voice
from assistant.bench.acoustic.sound import Wave, speech_level
from assistant.bench.acoustic.voices import speech
from assistant.bench.live.script import DONE, Reply, Step
from assistant.bench.live.tapes import Mouth, Tape
from assistant.conversation.entries import ExchangeEntry
from assistant.conversation.turn import Status

LEVEL = 0.05
"""The level of the keeper's speech at the microphone, as the acoustic bench has it."""

_QUIET_S = 0.8
_UNHEARD_S = 15.0
_SECOND_THOUGHT_S = 5.0
_LONGEST_ANSWER_S = 90.0
_GLANCE_S = 0.05
_MOST_TRIES = 12


@dataclass(frozen=True, slots=True)
class Exchange:
    """One phrase and what became of it; times by time.monotonic."""

    said: str
    voice: str
    asked_s: float
    answered_s: float
    entry: ExchangeEntry | None


@cache
def sound(voice: Voice, words: str) -> Wave:
    """The words in a voice, at the keeper's level."""
    wave = speech(voice, words)
    return wave / speech_level(wave) * LEVEL


class Keeper:
    """Somebody at the microphone, with ears for the speaker."""

    def __init__(self, mouth: Mouth, ear: Tape, register: SqliteRegister) -> None:
        self._mouth = mouth
        self._ear = ear
        self._register = register
        self._seen = len(register.exchanges())
        self.exchanges: list[Exchange] = []

    @property
    def quiet_s(self) -> float:
        """For how long the assistant has been silent."""
        return self._ear.quiet_s

    def go_through(
        self, step: Step, voice: Voice, spoil: Callable[[Wave], Wave] = lambda wave: wave
    ) -> bool:
        """Say what the step wants until it is done; false when it cannot be brought about.

        `spoil` is what happens to the first phrase on its way to the microphone.
        """
        phrase = step.opening
        for _ in range(_MOST_TRIES):
            entry = self.say(phrase, voice, spoil)
            spoil = _unspoilt
            reply = Reply(entry.status, entry.reply) if entry else Reply(Status.IGNORED, "")
            onward = step.react(reply)
            if onward == DONE:
                return True
            phrase = onward
        return False

    def say(
        self, phrase: str, voice: Voice, spoil: Callable[[Wave], Wave] | None = None
    ) -> ExchangeEntry | None:
        """Say a phrase when nobody speaks, and wait for the end of what is said to it."""
        asked_s = time.monotonic()
        return self._heard_out(phrase, voice, asked_s, self.begin(phrase, voice, spoil))

    def begin(
        self, phrase: str, voice: Voice, spoil: Callable[[Wave], Wave] | None = None
    ) -> ExchangeEntry | None:
        """The same, but only until the answer has begun."""
        self.listen()
        self._mouth.say((spoil or _unspoilt)(sound(voice, phrase)))
        return self._answer(phrase)

    def interrupt(self, phrase: str, voice: Voice) -> ExchangeEntry | None:
        """Say a phrase at once, whoever speaks, and wait for the end of what is said to it."""
        asked_s = time.monotonic()
        self._mouth.say(sound(voice, phrase))
        return self._heard_out(phrase, voice, asked_s, self._answer(phrase))

    def _heard_out(
        self, phrase: str, voice: Voice, asked_s: float, entry: ExchangeEntry | None
    ) -> ExchangeEntry | None:
        self.listen()
        self.exchanges.append(Exchange(phrase, voice.key, asked_s, time.monotonic(), entry))
        return entry

    def listen(self) -> None:
        """Wait until nothing has been said for a while."""
        give_up = time.monotonic() + _LONGEST_ANSWER_S
        while self._ear.quiet_s < _QUIET_S and time.monotonic() < give_up:
            time.sleep(_GLANCE_S)

    def _answer(self, phrase: str) -> ExchangeEntry | None:
        """What became of a phrase, once its answer has begun.

        What is ignored, or heard as something else, may have been a noise around the phrase: for a
        while another is waited for.
        """
        newest, give_up = None, time.monotonic() + _UNHEARD_S
        while time.monotonic() < give_up:
            for entry in self._new():
                if newest is None or entry.status != Status.IGNORED:
                    newest = entry
                wait_s = 0.0 if entry.heard == phrase else _SECOND_THOUGHT_S
                give_up = min(give_up, time.monotonic() + wait_s)
            time.sleep(_GLANCE_S)
        if newest is not None and newest.status != Status.IGNORED:
            self._until_it_speaks()
        return newest

    def _until_it_speaks(self) -> None:
        give_up = time.monotonic() + _UNHEARD_S
        while self._ear.quiet_s > _QUIET_S and time.monotonic() < give_up:
            time.sleep(_GLANCE_S)

    def _new(self) -> Sequence[ExchangeEntry]:
        """The exchanges since the last time."""
        new = self._register.exchanges()[self._seen :]
        self._seen += len(new)
        return new


def _unspoilt(wave: Wave) -> Wave:
    return wave
