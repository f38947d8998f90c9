"""A reply on its way out: rendered and played sentence by sentence, so that it begins at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.adapters.sound.endpointing import AROUND_S
from assistant.adapters.sound.own_echo import ALIKE, echo_likeness
from assistant.adapters.sound.tones import at_loudness, tone
from assistant.adapters.talk.remembering_voice import RememberingVoice
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.conversation.manner import MEANINGS
from assistant.conversation.speech import sentences, speakable
from assistant.conversation.turn import Cue, Manner, Reply
from assistant.ports import Playback

_PACE = 1.15
"""How many times as fast one step faster is."""

_STEP_DB = 5.0
_ROUNDING_S = 0.02

_EXPLAINED = {meaning: cue for cue, meaning in MEANINGS.items()}


@dataclass(frozen=True, slots=True)
class Piece:
    """A sentence as sound, and how much of the reply is out with it, in characters."""

    clip: Clip
    upto: int


@dataclass(frozen=True, slots=True)
class Speech:
    """A voice with the manner that it speaks in."""

    voice: RememberingVoice
    manner: Manner

    def prepare(self, sentence: str) -> bool:
        """Have a sentence ready; false where it was."""
        words = speakable(sentence)
        if self.voice.knows(words, self._pace):
            return False
        self.voice.render(words, self._pace)
        return True

    @property
    def _pace(self) -> float:
        return float(_PACE**self.manner.pace)

    def pieces(self, said: str) -> Iterator[Piece]:
        """Each sentence when it is asked for; one that explains a tone is followed by it."""
        for span in sentences(said):
            sentence = said[span.start : span.end]
            clip = self.voice.render(speakable(sentence), self._pace)
            yield Piece(self._loud(clip), span.end)
            if sentence in _EXPLAINED:
                yield Piece(self.tone(_EXPLAINED[sentence]), span.end)

    def tone(self, cue: Cue) -> Clip:
        """The tone of a cue, as loud as the voice's manner."""
        return self._loud(tone(cue))

    def _loud(self, clip: Clip) -> Clip:
        return at_loudness(clip, self.manner.loudness * _STEP_DB)


class Saying:
    """A reply that is being said: all that was played of it, and when what is vital will be out."""

    def __init__(self, reply: Reply, playback: Playback, vital: int) -> None:
        self.reply = reply
        self.playback = playback
        self._vital = vital
        self._vital_at_s = None if vital else 0.0
        self._played = bytearray()
        self._rate_hz = EAR_RATE_HZ

    def add(self, clip: Clip, upto: int) -> None:
        """Play a clip after those before; with it so many characters of the reply are out."""
        self.playback.add(clip)
        self._played += clip.pcm
        self._rate_hz = clip.rate_hz
        if self._vital_at_s is None and upto >= self._vital:
            self._vital_at_s = self.played.seconds

    @property
    def played(self) -> Clip:
        """All that was added."""
        return Clip(bytes(self._played), self._rate_hz)

    def vital_is_out(self, at_s: float) -> bool:
        """Whether all that is vital is out when so many seconds of it are."""
        return self._vital_at_s is not None and at_s >= self._vital_at_s - _ROUNDING_S

    def is_own(self, heard: Clip, began_s: float) -> bool:
        """Whether an utterance that began after so many seconds is what was said here."""
        return echo_likeness(heard, self.played, began_s - AROUND_S) >= ALIKE
