"""The voice: espeak-ng by way of pyttsx3, rendered to samples and never played from here."""

from __future__ import annotations

import contextlib
import json
import os
import select
import signal
import subprocess
import sys
import time
import weakref
from pathlib import Path
from typing import IO, Any

from assistant.audio import Clip
from assistant.errors import DataProblem, EngineUnavailable

_WORKER = Path(__file__).with_name("voice_worker.py")
_CHUNK = 1 << 16
_ALARM_SLACK_S = 5

SLOWEST_WPM, FASTEST_WPM = 80, 450
"""The rates that espeak-ng accepts, in words a minute.  Source: espeak-ng 1.52, speak_lib.h."""


class EspeakVoice:
    """espeak-ng at a rate in words a minute, in its default voice or the one named.

    A voice is named as espeak-ng does: by language or file ("en-us"), with a variant if wanted
    ("en-gb+f3").  The same words always give the same samples.  The work is done by a process of
    its own (see voice_worker.py), which starts now and is needed at the first `render`; one that
    does not answer within `limit_s` seconds is replaced.  Raises DataProblem for a rate out of
    range; `name` and `render` raise EngineUnavailable.  Not to be shared between threads.
    """

    def __init__(self, rate_wpm: int, voice: str | None, *, limit_s: float = 20.0) -> None:
        if not SLOWEST_WPM <= rate_wpm <= FASTEST_WPM:
            raise DataProblem(
                f"A voice cannot speak at {rate_wpm} words a minute.",
                f"Choose a rate from {SLOWEST_WPM} to {FASTEST_WPM}.",
            )
        if not hasattr(os, "fork"):
            raise EngineUnavailable("The voice needs Linux or macOS.", "Type instead: run dosewren")
        self._rate_wpm = rate_wpm
        self._voice = voice
        self._limit_s = limit_s
        self._name = ""
        self._start()

    @property
    def name(self) -> str:
        """The engine, its version and the voice in use."""
        if not self._name:
            self.render("ready")
        return self._name

    def render(self, words: str, pace: float = 1.0) -> Clip:
        """The words as sound; an empty clip if there is nothing to say.

        They are said `pace` times as fast as the voice's rate, within what espeak-ng accepts.
        """
        sayable = "".join(sign if sign.isprintable() else " " for sign in words).strip()
        if not sayable:
            return Clip(b"")
        answer, pcm = self._ask(sayable, self._wpm(pace))
        if "problem" in answer:
            raise EngineUnavailable(answer["problem"], answer["remedy"])
        self._name = answer["name"]
        return Clip(pcm, answer["rate_hz"])

    def close(self) -> None:
        """End the process behind the voice; it ends with the assistant anyway."""
        self._finalizer()

    def _wpm(self, pace: float) -> int:
        return min(max(round(self._rate_wpm * pace), SLOWEST_WPM), FASTEST_WPM)

    def _ask(self, words: str, rate_wpm: int) -> tuple[dict[str, Any], bytes]:
        """Two tries: an engine that hangs or dies gets one fresh process to do better."""
        alarm_s = int(self._limit_s) + _ALARM_SLACK_S
        request = {"words": words, "limit_s": alarm_s, "rate_wpm": rate_wpm, "voice": self._voice}
        line = json.dumps(request).encode() + b"\n"
        for _ in range(2):
            with contextlib.suppress(TimeoutError, OSError, EOFError):
                answer, pcm = _exchange(self._process, line, time.monotonic() + self._limit_s)
                if "crashed" not in answer:
                    return answer, pcm
            self._finalizer()
            self._start()
        raise EngineUnavailable(
            "The voice does not answer, not even from a fresh start.",
            "Read the answer on the screen, and run: dosewren check",
        )

    def _start(self) -> None:
        # -P: no module of ours may stand in for one that the worker imports
        self._process = subprocess.Popen(  # noqa: S603 - our own interpreter and our own file
            [sys.executable, "-P", str(_WORKER)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        self._finalizer = weakref.finalize(self, _stop, self._process)


def _stop(process: subprocess.Popen[bytes]) -> None:
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):
                pipe.close()
    process.wait()


def _exchange(
    process: subprocess.Popen[bytes], line: bytes, deadline: float
) -> tuple[dict[str, Any], bytes]:
    """Send a request and read the answer; raises TimeoutError, OSError or EOFError."""
    if process.stdin is None or process.stdout is None:
        raise EOFError
    _send(process.stdin, line, deadline)
    received = b""
    while b"\n" not in received:
        received += _receive(process.stdout, deadline)
    header, _, pcm = received.partition(b"\n")
    answer: dict[str, Any] = json.loads(header)
    pieces, missing = [pcm], answer["bytes"] - len(pcm)
    while missing > 0:
        pieces.append(_receive(process.stdout, deadline))
        missing -= len(pieces[-1])
    return answer, b"".join(pieces)


def _send(pipe: IO[bytes], data: bytes, deadline: float) -> None:
    # a pipe that polls as writable takes PIPE_BUF bytes without blocking (POSIX)
    for start in range(0, len(data), select.PIPE_BUF):
        _await(pipe, select.POLLOUT, deadline)
        os.write(pipe.fileno(), data[start : start + select.PIPE_BUF])


def _receive(pipe: IO[bytes], deadline: float) -> bytes:
    _await(pipe, select.POLLIN, deadline)
    piece = os.read(pipe.fileno(), _CHUNK)
    if not piece:
        raise EOFError
    return piece


def _await(pipe: IO[bytes], event: int, deadline: float) -> None:
    poll = select.poll()
    poll.register(pipe, event)
    if not poll.poll(max(0.0, deadline - time.monotonic()) * 1000):
        raise TimeoutError
