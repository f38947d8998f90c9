"""A microphone that is put aside for a moment while something is mentioned aloud."""

from __future__ import annotations

import logging
from collections.abc import Callable, Generator
from contextlib import closing
from queue import Empty, SimpleQueue

from assistant.adapters.talk.live import LiveMicrophone
from assistant.audio import Clip
from assistant.errors import AudioProblem

_log = logging.getLogger(__name__)


class MentioningMicrophone:
    """The sound of another microphone; between two clips of it, what others asked to have said.

    `say` speaks in the thread that listens, so that no two voices speak at once.  It waits until
    `is_quiet`: nobody is in the middle of a word.  What comes in while it is said is dropped.
    """

    def __init__(
        self, microphone: LiveMicrophone, say: Callable[[str], None], is_quiet: Callable[[], bool]
    ) -> None:
        self._microphone = microphone
        self._say = say
        self._is_quiet = is_quiet
        self._waiting: SimpleQueue[str] = SimpleQueue()

    @property
    def name(self) -> str:
        """The device, as the system names it."""
        return self._microphone.name

    def mention(self, words: str) -> None:
        """Have the words said soon; from any thread."""
        self._waiting.put(words)

    def clips(self) -> Generator[Clip, None, None]:
        """Short clips at 16 kHz, until closed."""
        with closing(self._microphone.clips()) as clips:
            for clip in clips:
                yield clip
                if self._is_quiet():
                    self._say_waiting()

    def forget(self) -> None:
        """Drop what came in until now."""
        self._microphone.forget()

    def _say_waiting(self) -> None:
        try:
            words = self._waiting.get_nowait()
        except Empty:
            return
        try:
            self._say(words)
        except AudioProblem as problem:
            # whoever typed it has the answer before their eyes
            _log.warning("what was typed could not be mentioned: %s", problem.problem)
        self._microphone.forget()
