"""From start to answer: `python -m assistant.bench.start_bench [TIMES]`.

Prints the median time of a cold `dosewren ask`, what of it Python itself takes, and how long the
ears and the voice need until a first spoken answer is ready, each in a process of its own.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from assistant.adapters.home import Home
from assistant.adapters.setting_up import make_demo

_ASK = ("-m", "assistant", "ask", "cockatiel ninety five grams")
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
            "ears and voice, start to first spoken answer": ("-c", _FIRST_SPOKEN),
        }
        medians = {
            name: statistics.median(_seconds(words, environment) for _ in range(times))
            for name, words in commands.items()
        }
    alone = medians["python alone"]
    for name, seconds in medians.items():
        print(f"{name:<46} {seconds:6.2f} s  {seconds / alone:6.1f} × python alone")  # noqa: T201 - a bench prints


def _seconds(words: tuple[str, ...], environment: dict[str, str]) -> float:
    begun = time.perf_counter()
    subprocess.run(  # noqa: S603 - our own interpreter and our own words
        [sys.executable, *words], env=environment, check=True, capture_output=True
    )
    return time.perf_counter() - begun


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
