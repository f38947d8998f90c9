"""A microphone that is waited for when it goes away: pulled out, asleep, or taken by a program."""

from __future__ import annotations

import time
from collections.abc import Callable, Generator
from contextlib import closing

from assistant.adapters.endpointing import GAP
from assistant.adapters.live import LiveMicrophone
from assistant.audio import Clip
from assistant.errors import AudioProblem

_EVERY_S = 2.0


class PatientMicrophone:
    """The sound of another microphone, with `GAP` where it stopped; it is opened again and again.

    `tell` gets the problem once for each time that it goes away.  A microphone that gives no sound
    at all from the beginning is a problem of the keeper's and raises AudioProblem.
    """

    def __init__(
        self,
        microphone: LiveMicrophone,
        tell: Callable[[AudioProblem], None],
        wait: Callable[[float], None] = time.sleep,
    ) -> None:
        self._microphone = microphone
        self._tell = tell
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
                    self._tell(problem)
                    yield GAP
                self._wait(_EVERY_S)
            else:
                return

    def forget(self) -> None:
        """Drop what came in until now."""
        self._microphone.forget()
