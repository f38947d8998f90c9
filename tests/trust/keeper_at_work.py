"""A keeper who doses bird after bird: run by the tests that kill it or cut its power.

`python keeper_at_work.py HOME BIRDS` works once and ends.  `python keeper_at_work.py HOME BIRDS -`
opens the home once, then forks a keeper for each line on standard input, so that a thousand keepers
cost no thousand starts; each prints its process's number, works, and then waits to be killed.

Each keeper prints a line for each thing that dosewren acknowledged to it, once it did and not
before: `said DOSE`, `given DOSE` (or another end), and `done` at the end.
"""

from __future__ import annotations

import os
import signal
import sys

from assistant.conversation.entries import DoseEndEntry, DoseEntry
from assistant.conversation.state import Ask
from assistant.language.heard import Heard
from assistant.session import Session
from assistant.wiring import Desk, open_desk


def work(desk: Desk, birds: int) -> None:
    """Dose so many birds, and tell what was acknowledged."""
    session = desk.session()
    if session.state.pending:
        # the keeper before was killed; whether the bird had it nobody knows
        _hear(session, "don't know")
    _hear(session, "yes")
    for number in range(birds):
        _hear(session, f"cockatiel {85 + number % 30} grams")
        if session.state.asked(Ask.SAME_BIRD):
            # as heavy as the one of which nobody knows, and another bird
            _hear(session, "no")
        _hear(session, "given")
    _tell("done")


def _hear(session: Session, words: str) -> None:
    turn = session.hear(Heard(words))
    for entry in turn.entries:
        match entry:
            case DoseEntry(dose_id=dose):
                _tell(f"said {dose}")
            case DoseEndEntry(dose_id=dose, end=end):
                _tell(f"{end} {dose}")


def _tell(line: str) -> None:
    # one write each: a line is there whole or not at all
    os.write(1, f"{line}\n".encode())


def main(home: str, birds: str, *rest: str) -> None:
    """Work once, or once for each line of standard input."""
    desk = open_desk(home)
    if not rest:
        work(desk, int(birds))
        desk.register.close()
        return
    for _ in sys.stdin:
        keeper = os.fork()
        if not keeper:
            _tell(f"pid {os.getpid()}")
            work(desk, int(birds))
            signal.pause()
        os.waitpid(keeper, 0)
        _tell("over")


if __name__ == "__main__":
    main(*sys.argv[1:])
