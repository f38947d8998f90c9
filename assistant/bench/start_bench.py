"""From start to answer: `python -m assistant.bench.start_bench [TIMES]`.

Prints, as medians on one core, the time of a `dosewren ask` and what of it Python itself takes; how
long the ears take to be ready, with and without the graph of the grammar that a start before kept
on disk; and how long it takes to a first spoken answer.  Each is a process of its own.  How long a
talk takes from its start to its first word, with the devices, is in live_bench.
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from assistant.adapters.home.folder import Home
from assistant.adapters.home.setting_up import make_demo
from assistant.bench.processes import children_s

_ASK = ("-m", "assistant", "ask", "cockatiel ninety five grams")
_EARS = "from assistant.wiring import *; open_ears(open_desk(None), None)"
_FIRST_SPOKEN = """
from assistant.conversation.speech import speakable
from assistant.language.heard import Channel, Heard
from assistant.wiring import open_desk, open_ears, open_voice
desk = open_desk(None)
voice, ears = open_voice(desk.holding.kit), open_ears(desk, None)
ears.begin()
turn = desk.session(one_shot=True).hear(Heard("cockatiel ninety five grams", channel=Channel.VOICE))
voice.render(speakable(turn.reply.said))
"""


def main(times: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        make_demo(Home(Path(folder)))
        environment = {"DOSEWREN_HOME": folder, "PATH": "", "PYTHONPATH": ":".join(sys.path)}
        commands = {
            "python alone": ("-c", "pass"),
            "dosewren ask, start to answer": _ASK,
            "ears ready, the very first start": ("-c", _EARS),
            "ears ready": ("-c", _EARS),
            "ears and voice, start to first spoken answer": ("-c", _FIRST_SPOKEN),
        }
        medians = {
            name: _medians(
                [
                    _seconds(words, environment, first=name.endswith("first start"))
                    for _ in range(times)
                ]
            )
            for name, words in commands.items()
        }
    print(f"{'':<46} {'elapsed':>9} {'processor':>11}")  # noqa: T201 - a bench prints
    for name, (elapsed_s, busy_s) in medians.items():
        print(f"{name:<46} {elapsed_s:7.2f} s {busy_s:9.2f} s")  # noqa: T201 - as above


def _medians(took: Sequence[tuple[float, float]]) -> tuple[float, float]:
    elapsed, busy = zip(*took, strict=True)
    return statistics.median(elapsed), statistics.median(busy)


def _seconds(
    words: tuple[str, ...], environment: dict[str, str], *, first: bool
) -> tuple[float, float]:
    """Elapsed and processor time; with `first` nothing is kept from a start before."""
    if first:
        shutil.rmtree(Home(Path(environment["DOSEWREN_HOME"])).cache_folder, ignore_errors=True)
    begun, busy_s = time.perf_counter(), children_s()
    subprocess.run(  # noqa: S603 - our own interpreter and our own words
        [sys.executable, *words], env=environment, check=True, capture_output=True
    )
    return time.perf_counter() - begun, children_s() - busy_s


if __name__ == "__main__":
    os.sched_setaffinity(0, {0})
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
