"""`dosewren talk` on one core, with the times of what it does: `python -m … HOME`.

Prints what talk prints, and on standard error a line of JSON for each phase, turn and rendering,
with time.monotonic, which on Linux all processes share.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

from assistant.adapters.talk.voice import EspeakVoice
from assistant.audio import Clip
from assistant.commands import talking
from assistant.conversation.turn import Turn
from assistant.language.heard import Heard
from assistant.ports import Phase

P = ParamSpec("P")


def _stamp(what: str, **more: object) -> None:
    sys.stderr.write(json.dumps({"what": what, "at": time.monotonic(), **more}) + "\n")
    sys.stderr.flush()


class _Stamped(talking.PrintedTalk):
    """The usual onlooker, with times."""

    def phase(self, phase: Phase) -> None:
        """Note when it changed."""
        _stamp(phase.value)
        super().phase(phase)

    def turn(self, heard: Heard, turn: Turn) -> None:
        """Note when it was decided."""
        _stamp("turn", status=turn.status.value, heard=heard.words)
        super().turn(heard, turn)


def _stamped(render: Callable[P, Clip]) -> Callable[P, Clip]:
    @wraps(render)
    def timed(*words: P.args, **manner: P.kwargs) -> Clip:
        clip = render(*words, **manner)
        _stamp("rendered", seconds=clip.seconds)
        return clip

    return timed


def main(home: str) -> None:
    """Talk, with the onlooker's and the voice's times; nothing else differs."""
    os.sched_setaffinity(0, {0})
    talking.PrintedTalk = _Stamped  # type: ignore[misc]  # the point of this module
    EspeakVoice.render = _stamped(EspeakVoice.render)  # type: ignore[method-assign]  # as above
    talking.talk_aloud(home, talking.Talking())


if __name__ == "__main__":
    main(sys.argv[1])
