"""Runs tests against one mutant in a process of its own, forked where all is imported already."""

from __future__ import annotations

import ast
import gc
import mmap
import os
import resource
import signal
import tempfile
from collections.abc import Callable
from enum import StrEnum
from functools import partial

import pytest
from _pytest.runner import runtestprotocol
from hypothesis import HealthCheck, Phase, settings

from tests.mutants.choosing import Choosing
from tests.mutants.covering import QUIET, forget
from tests.mutants.places import Mutant
from tests.mutants.putting_in import module_of, put_in

SLOWER = 5  # a test that takes so many times its usual time hangs
AT_LEAST_S = 3.0  # of the processor's time
STARVED = 10  # times that by the clock, on a machine with other work
MEMORY_BYTES = 4 * 1024**3
TEMPORARY = tempfile.mkdtemp(prefix="mutants-")
OPTIONS = [*QUIET, "--hypothesis-profile=mutants", f"--basetemp={TEMPORARY}/base"]

# the examples of the fast profile, without the search for a smaller one: found is found
settings.register_profile(
    "mutants",
    max_examples=60,
    deadline=None,
    derandomize=True,
    phases=(Phase.explicit, Phase.generate),
    report_multiple_bugs=False,
    suppress_health_check=[HealthCheck.too_slow],
)


class Outcome(StrEnum):
    """What became of a mutant; only a kill counts as found."""

    KILLED = "killed"
    TIMED_OUT = "timed out"
    SURVIVED = "survived"


Verdict = tuple[Outcome, str]


def in_a_fork(work: Callable[[int], None]) -> Verdict:
    """The verdict of a child that writes the killing test's name, or ends well, or is ended."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
        nowhere = os.open(os.devnull, os.O_RDWR)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        try:
            work(write)
        finally:
            os._exit(0)
    os.close(write)
    with os.fdopen(read) as pipe:
        killer = pipe.read()
    _, status = os.waitpid(child, 0)
    if killer:
        return Outcome.KILLED, killer
    if os.WIFSIGNALED(status):
        timed_out = os.WTERMSIG(status) in {signal.SIGALRM, signal.SIGPROF}
        return (Outcome.TIMED_OUT, "") if timed_out else (Outcome.KILLED, "the process died")
    return Outcome.SURVIVED, ""


class Begun:
    """The place in its list of the test that runs: known even when its process was ended."""

    def __init__(self) -> None:
        self._shared = mmap.mmap(-1, 4)

    def note(self, place: int) -> None:
        """This one begins."""
        self._shared[:] = place.to_bytes(4, "big")

    def last(self) -> int:
        """The one that began last."""
        return int.from_bytes(self._shared[:], "big")


def verdict_of(names: list[str], judge: Callable[[list[str], int], None], begun: Begun) -> Verdict:
    """Of these tests in their order; once one of them hangs, those after it are asked too."""
    verdict = in_a_fork(partial(judge, names))
    if verdict[0] is not Outcome.TIMED_OUT:
        return verdict
    later = in_a_fork(partial(judge, names[begun.last() + 1 :]))
    return later if later[0] is Outcome.KILLED else verdict


class Judging:
    """A pytest plugin that, instead of running the tests, judges mutants by them.

    `tell` gets mutant, outcome and killing test; at last None in place of the mutant for each test
    that killed some and fails without any.
    """

    def __init__(
        self,
        choosing: Choosing,
        mutants: list[tuple[Mutant, ast.Module]],
        tell: Callable[..., None],
    ) -> None:
        self._choosing = choosing
        self._mutants = mutants
        self._tell = tell
        self._items: dict[str, pytest.Item] = {}
        self._begun = Begun()

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Judge them all, with everything imported and collected."""
        self._items = {item.nodeid: item for item in session.items}
        gc.collect()
        gc.freeze()
        for mutant, tree in self._mutants:
            names = [name for name in self._choosing.tests_for(mutant) if name in self._items]
            change = partial(put_in, module_of(mutant.module), mutant.compiled(tree))
            verdict = verdict_of(names, partial(self._judge, change), self._begun)
            if verdict[0] is Outcome.KILLED:
                self._choosing.killed(mutant, verdict[1])
            self._tell(mutant, *verdict)
        for name in self._choosing.killers() & set(self._items):
            if self._fails_alone(name):
                self._tell(None, Outcome.SURVIVED, name)
        return True

    def _fails_alone(self, name: str) -> bool:
        """Whether this test fails by itself in a fork, with nothing changed."""
        return in_a_fork(partial(self._judge, lambda: None, [name]))[0] is not Outcome.SURVIVED

    def _judge(self, change: Callable[[], None], names: list[str], write: int) -> None:
        try:
            change()
        except Exception:  # noqa: BLE001 - whatever it raises, no test could import it
            os.write(write, b"the import")
            return
        forget()
        items = [self._items[name] for name in names]
        for place, (item, following) in enumerate(zip(items, [*items[1:], None], strict=True)):
            self._begun.note(place)
            limit_s = self._limit_s(item.nodeid)
            signal.setitimer(signal.ITIMER_PROF, limit_s)
            signal.setitimer(signal.ITIMER_REAL, STARVED * limit_s)
            if any(one.failed for one in runtestprotocol(item, nextitem=following, log=False)):
                os.write(write, item.nodeid.encode())
                return

    def _limit_s(self, name: str) -> float:
        return AT_LEAST_S + SLOWER * self._choosing.cover[name].seconds
