"""A register of a million rows: `python -m assistant.bench.register_bench [ROWS] [TIMES]`.

Prints how long each daily question takes in a process of its own, from opening the file to the
answer: the median and the longest by the clock, and the median of the processor's time, which other
programs on the machine do not lengthen.  What Python needs to start is not counted.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path

from assistant.adapters.home.folder import Home
from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.bench.large_register import NEWEST, make_large
from assistant.records.wanted import Wanted

GOAL_MS = 200

_ASK = "import sys; from assistant.bench.register_bench import ask; ask(*sys.argv[1:])"

Question = Callable[[SqliteRegister, Home], object]


def _due(register: SqliteRegister, home: Home) -> object:
    return register.windows(home.medicines(), NEWEST.date())


QUESTIONS: Mapping[str, Question] = {
    "which doses are still open": lambda register, _: register.pending(),
    "who had a dose, for the guard": lambda register, _: register.dosed_since(0),
    "what is left in the pots": lambda register, _: register.shelf_since(0),
    "what was done in this round": lambda register, _: [
        *register.treatments(Wanted(round_id="r0"))
    ],
    "when one bird was treated": lambda register, _: [*register.treatments(Wanted(bird="Bird 7"))],
    "who is due this week": _due,
    "the last twenty doses": lambda register, _: register.doses(20),
}


def main(rows: int, times: int) -> None:
    """Make the register, ask, and print."""
    with tempfile.TemporaryDirectory() as folder:
        home = Home(Path(folder))
        make_demo(home)
        begun = time.perf_counter()
        count = make_large(home.register_file, rows)
        size = home.register_file.stat().st_size / 1e6
        print(f"{count} rows, {size:.0f} MB, made in {time.perf_counter() - begun:.0f} s")  # noqa: T201 - a bench prints
        for name in QUESTIONS:
            took = [_asked(home, name) for _ in range(times)]
            print(f"{name:<32} {_in_words(took)}")  # noqa: T201 - the same


def _in_words(took: list[tuple[float, float]]) -> str:
    clock, processor = zip(*took, strict=True)
    middle = statistics.median(clock)
    over = "" if middle <= GOAL_MS else f"; over the goal of {GOAL_MS} ms"
    worked = f"{statistics.median(processor):6.1f} ms of the processor"
    return f"{middle:6.1f} ms, longest {max(clock):6.1f} ms, {worked}{over}"


def _asked(home: Home, name: str) -> tuple[float, float]:
    """How long one question took in a process of its own: by the clock and the processor, in ms."""
    done = subprocess.run(  # noqa: S603 - our own interpreter and our own words
        [sys.executable, "-c", _ASK, name, str(home.path)],
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    by_clock, by_processor = map(float, done.stdout.split())
    return by_clock, by_processor


def ask(name: str, folder: str) -> None:
    """Ask one question, and print how long it took."""
    home = Home(Path(folder))
    begun, worked = time.perf_counter(), time.process_time()
    with SqliteRegister(home.register_file) as register:
        QUESTIONS[name](register, home)
    took = time.perf_counter() - begun, time.process_time() - worked
    print(*(seconds * 1000 for seconds in took))  # noqa: T201 - the bench reads it


if __name__ == "__main__":
    main(*(int(word) for word in (*sys.argv[1:], *("1000000", "20")[len(sys.argv) - 1 :])))
