"""A whole run: audio made first, then every trial heard, in as many processes as wanted."""

from __future__ import annotations

import resource
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from assistant.bench.acoustic.desk import open_bench_desk
from assistant.bench.acoustic.ears import opener
from assistant.bench.acoustic.listening import Listener
from assistant.bench.acoustic.plan import Plan
from assistant.bench.acoustic.records import Part, Trial, Voice
from assistant.bench.acoustic.scoring import Result
from assistant.bench.acoustic.store import Store
from assistant.bench.acoustic.voices import OWN, RECORDING
from assistant.errors import AssistantError

_CHUNK = 4


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which ears are run, with which settings and how; `cache` holds the audio."""

    ears: str
    settings: Mapping[str, str]
    part: Part
    cache: Path
    jobs: int = 1
    live: bool = False


@dataclass(frozen=True, slots=True)
class Memory:
    """Resident memory of a process that hears, in MiB: before its ears were opened, and at most."""

    before: float
    peak: float


def make_audio(plan: Plan, cache: Path, jobs: int) -> Iterator[None]:
    """Make the clean speech of all trials, giving one None for each piece that is at hand."""
    to_say = [
        trial
        for trial in plan.trials
        if trial.voice is not None and trial.voice.engine not in (RECORDING, OWN)
    ]
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
        yield from pool.map(partial(_make_one, cache), to_say, chunksize=16)


def _make_one(cache: Path, trial: Trial) -> None:
    if trial.voice is not None:
        Store(cache, {}).clean(trial.voice, trial.phrase)


@dataclass(frozen=True, slots=True)
class _Hearing:
    """What a process keeps between trials."""

    listener: Listener
    before: float


_opened: list[_Hearing | AssistantError] = []
"""One a process: its ears, or why there are none.  A pool tells nobody why it could not begin."""


def hear_all(plan: Plan, wanted: Wanted) -> Iterator[tuple[Result, Memory]]:
    """Every trial's result in the order of the plan, with the memory of the process by then."""
    with ProcessPoolExecutor(
        wanted.jobs,
        mp_context=get_context("spawn"),
        initializer=_open,
        initargs=(wanted, plan.talkers),
    ) as pool:
        yield from pool.map(_hear_one, plan.trials, chunksize=_CHUNK)


def _open(wanted: Wanted, talkers: Sequence[tuple[Voice, str]]) -> None:
    desk = open_bench_desk()
    before = _resident_mib()
    try:
        ears = opener(wanted.ears)(desk.desk, wanted.settings)
    except AssistantError as problem:
        _opened.append(problem)
        return
    store = Store(wanted.cache, {wanted.part: tuple(talkers)})
    _opened.append(_Hearing(Listener(ears, desk, store, wanted.live), before))


def _hear_one(trial: Trial) -> tuple[Result, Memory]:
    hearing = _opened[0]
    if isinstance(hearing, AssistantError):
        raise hearing
    result = hearing.listener.judge(trial)
    return result, Memory(hearing.before, _resident_mib())


def _resident_mib() -> float:
    """The most memory that this process has held so far, in MiB (Linux counts in KiB)."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
