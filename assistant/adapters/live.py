"""The talk loop: hear an utterance, answer it aloud, listen again."""

from __future__ import annotations

import logging
from collections.abc import Generator, Iterator
from contextlib import closing
from dataclasses import dataclass
from typing import Protocol

from assistant.adapters.endpointing import GAP, Detection, Endpointer, Utterance
from assistant.audio import Clip
from assistant.conversation.speech import speakable
from assistant.conversation.turn import Turn
from assistant.errors import EngineUnavailable
from assistant.language.heard import Channel, Heard
from assistant.ports import Ears, Microphone, Onlooker, Phase, Speaker, Voice

_FAILURES_IN_A_ROW = 3
_TOO_PROMPT_S = 0.1
_LOUDNESS_EVERY_S = 0.2

_log = logging.getLogger(__name__)


class LiveMicrophone(Microphone, Protocol):
    """A microphone that goes on recording while nobody reads it."""

    def clips(self) -> Generator[Clip, None, None]:
        """Short clips at 16 kHz, until closed."""

    def forget(self) -> None:
        """Drop what came in until now."""


class Partner(Protocol):
    """The conversation, as the loop knows it."""

    def attend(self) -> None:
        """Somebody begins to speak: what is heard next was meant as things stand now."""

    def hear(self, heard: Heard) -> Turn:
        """The turn that an utterance leads to, once it is kept."""


@dataclass(frozen=True, slots=True)
class Equipment:
    """What a talk is held with."""

    ears: Ears
    voice: Voice
    microphone: LiveMicrophone
    speaker: Speaker


def converse(equipment: Equipment, partner: Partner, onlooker: Onlooker) -> None:
    """Answer each utterance until an answer ends the talk.

    Half duplex: what comes in while an answer is prepared and spoken is dropped, and so is an
    utterance that was under way when listening began again, since half a sentence may hold another
    weight than the whole.  An utterance of which nothing can be made, also because the ears fail on
    it, is answered as one without words; ears that fail three times in a row raise
    EngineUnavailable.  An answer that cannot be spoken ends the talk with the voice's or the
    speaker's error: the keeper must not go on as if it had been said.
    """
    with closing(equipment.microphone.clips()) as clips:
        _Loop(equipment, partner, onlooker).run(clips)


class _Loop:
    """One talk, clip by clip."""

    def __init__(self, equipment: Equipment, partner: Partner, onlooker: Onlooker) -> None:
        self._equipment = equipment
        self._partner = partner
        self._onlooker = _Told(onlooker)
        self._attentive = _Attentive(equipment.ears)
        self._endpointer = Endpointer(Detection())
        self._listened_s = 0.0
        self._hears = False
        self._ended = False

    def run(self, clips: Iterator[Clip]) -> None:
        for clip in clips:
            self._listened_s += clip.seconds
            for utterance in self._endpointer.take(clip):
                self._answer(utterance)
            if self._ended:
                return
            self._tell(clip)
        for utterance in self._endpointer.end():
            self._answer(utterance)

    def _tell(self, clip: Clip) -> None:
        if clip == GAP:
            self._onlooker.phase(Phase.DEAF)
            return
        hears = self._endpointer.is_hearing
        if hears and not self._hears:
            self._partner.attend()
        self._hears = hears
        self._onlooker.phase(Phase.HEARING if hears else Phase.LISTENING)
        self._onlooker.loudness(self._endpointer, clip.seconds)

    def _answer(self, utterance: Utterance) -> None:
        self._onlooker.phase(Phase.THINKING)
        whole = utterance.complete and self._was_quiet_before(utterance)
        heard = self._attentive.hear(utterance.clip) if whole else self._attentive.nothing
        turn = self._partner.hear(heard)
        self._onlooker.turn(heard, turn)
        if not turn.silent:
            self._speak(turn)
        self._ended = turn.ends

    def _was_quiet_before(self, utterance: Utterance) -> bool:
        """Whether listening had begun before the speech did."""
        return self._listened_s - utterance.began_ago_s > _TOO_PROMPT_S

    def _speak(self, turn: Turn) -> None:
        self._onlooker.phase(Phase.SPEAKING)
        clip = self._equipment.voice.render(speakable(turn.reply.said))
        self._equipment.speaker.play(clip)
        self._equipment.microphone.forget()
        self._listened_s = 0.0


class _Told:
    """An onlooker, told of each phase once and of the loudness now and then."""

    def __init__(self, onlooker: Onlooker) -> None:
        self._onlooker = onlooker
        self._phase: Phase | None = None
        self._since_s = 0.0
        self.turn = onlooker.turn

    def phase(self, phase: Phase) -> None:
        if phase is not self._phase:
            self._phase = phase
            self._onlooker.phase(phase)

    def loudness(self, endpointer: Endpointer, seconds: float) -> None:
        self._since_s += seconds
        if self._since_s >= _LOUDNESS_EVERY_S:
            self._since_s = 0.0
            self._onlooker.loudness(endpointer.loudness)


class _Attentive:
    """Ears that may fail on an utterance, but not on one after the other."""

    def __init__(self, ears: Ears) -> None:
        self._ears = ears
        self._failures = 0
        self.nothing = Heard("", confidence=0.0, channel=Channel.VOICE, engine=ears.name)

    def hear(self, clip: Clip) -> Heard:
        try:
            self._ears.begin()
            self._ears.feed(clip)
            heard = self._ears.finish()
        except Exception as error:
            # whatever an engine raises, one bad clip must not end the talk
            self._failures += 1
            if self._failures == _FAILURES_IN_A_ROW:
                raise EngineUnavailable(
                    f"the ears fail again and again: {error}", "run `dosewren check`"
                ) from error
            _log.warning("an utterance could not be heard: %s", error)
            return self.nothing
        self._failures = 0
        return heard
