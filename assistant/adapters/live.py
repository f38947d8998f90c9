"""The talk loop: hear an utterance, answer it aloud, listen again."""

from __future__ import annotations

import logging
from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import closing
from typing import Protocol

from assistant.adapters.endpointing import Utterance, utterances
from assistant.audio import Clip
from assistant.errors import EngineUnavailable
from assistant.language.heard import Channel, Heard
from assistant.ports import Ears, Microphone, Speaker, Voice

_FAILURES_IN_A_ROW = 3
_TOO_PROMPT_S = 0.1

_log = logging.getLogger(__name__)


class Answered(Protocol):
    """What the loop needs to know of an answer."""

    @property
    def words(self) -> str:
        """What is to be spoken."""

    @property
    def silent(self) -> bool:
        """Whether nothing is to be spoken."""

    @property
    def ends(self) -> bool:
        """Whether the talk is over after this."""


class LiveMicrophone(Microphone, Protocol):
    """A microphone that goes on recording while nobody reads it."""

    def clips(self) -> Generator[Clip, None, None]:
        """Short clips at 16 kHz, until closed."""

    def forget(self) -> None:
        """Drop what came in until now."""


def converse(
    ears: Ears,
    voice: Voice,
    microphone: LiveMicrophone,
    speaker: Speaker,
    answer: Callable[[Heard], Answered],
) -> None:
    """Answer each utterance until an answer ends the talk.

    Half duplex: what comes in while an answer is prepared and spoken is dropped, and so is an
    utterance that was under way when listening began again, since half a sentence may hold another
    weight than the whole.  An utterance of which nothing can be made, also because the ears fail on
    it, is answered as one without words; ears that fail three times in a row raise
    EngineUnavailable.  An answer that cannot be spoken ends the talk with the voice's or the
    speaker's error: the keeper must not go on as if it had been said.
    """
    with closing(microphone.clips()) as clips:
        listening = _Listening(clips)
        attentive = _Attentive(ears)
        for utterance in utterances(listening):
            whole = utterance.complete and listening.was_quiet_before(utterance)
            answered = answer(attentive.hear(utterance.clip) if whole else attentive.nothing)
            if not answered.silent:
                speaker.play(voice.render(answered.words))
                microphone.forget()
                listening.begin()
            if answered.ends:
                return


class _Listening:
    """Clips passed on, and how long it has been listened since it was last begun."""

    def __init__(self, clips: Iterable[Clip]) -> None:
        self._clips = clips
        self._seconds = 0.0

    def __iter__(self) -> Iterator[Clip]:
        for clip in self._clips:
            self._seconds += clip.seconds
            yield clip

    def begin(self) -> None:
        self._seconds = 0.0

    def was_quiet_before(self, utterance: Utterance) -> bool:
        """Whether listening had begun before the speech did."""
        return self._seconds - utterance.began_ago_s > _TOO_PROMPT_S


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
