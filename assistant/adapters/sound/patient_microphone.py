"""A microphone that is waited for when it goes away: pulled out, asleep, or taken by a program."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Generator
from contextlib import closing

from assistant.adapters.sound.endpointing import GAP
from assistant.adapters.talk.ports import LiveMicrophone
from assistant.audio import Clip
from assistant.errors import AudioProblem

_EVERY_S = 2.0

_log = logging.getLogger(__name__)


class PatientMicrophone:
    """The sound of another microphone, with `GAP` where it stopped; it is opened again and again.

    While it is away a `GAP` comes every two seconds.  A microphone that gives no sound at all from
    the beginning is a problem of the keeper's and raises AudioProblem.
    """

    def __init__(
        self,
        microphone: LiveMicrophone,
        wait: Callable[[float], None] = time.sleep,
    ) -> None:
        self._microphone = microphone
        self._wait = wait

    @property
    def name(self) -> str:
        """The device, as the system names it."""
        return self._microphone.name

    def clips(self) -> Generator[Clip, None, None]:
        """Short clips at 16 kHz, until closed or the sound ends by itself."""
        has_sounded, is_here = False, True
        while True:
            try:
                with closing(self._microphone.clips()) as clips:
                    for clip in clips:
                        has_sounded = is_here = True
                        yield clip
            except AudioProblem as problem:
                if not has_sounded:
                    raise
                if is_here:
                    is_here = False
                    _log.warning("%s", problem)
                yield GAP
                self._wait(_EVERY_S)
            else:
                return

    def forget(self) -> None:
        """Drop what came in until now."""
        self._microphone.forget()
