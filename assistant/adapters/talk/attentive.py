"""Ears that may fail on an utterance, but not on one after the other."""

from __future__ import annotations

import logging

from assistant.audio import Clip
from assistant.errors import EngineUnavailable
from assistant.language.heard import Channel, Heard
from assistant.ports import Ears

_FAILURES_IN_A_ROW = 3

_log = logging.getLogger(__name__)


class Attentive:
    """The ears of a talk.  `nothing` is what an utterance is of which nothing could be made."""

    def __init__(self, ears: Ears) -> None:
        self._ears = ears
        self._failures = 0
        self.nothing = Heard("", confidence=0.0, channel=Channel.VOICE, engine=ears.name)

    def hear(self, clip: Clip) -> Heard:
        """What was heard; nothing where the ears fail, and EngineUnavailable at the third time."""
        try:
            self._ears.begin()
            self._ears.feed(clip)
            heard = self._ears.finish()
        except Exception as error:
            # whatever an engine raises, one bad clip must not end the talk
            self._failures += 1
            if self._failures == _FAILURES_IN_A_ROW:
                raise EngineUnavailable(
                    f"The ears fail again and again: {error}.", "Run: dosewren check"
                ) from error
            _log.warning("an utterance could not be heard: %s", error)
            return self.nothing
        self._failures = 0
        return heard
