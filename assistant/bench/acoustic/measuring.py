"""A run from plan to log: what is printed, and what is kept of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from math import isnan
from pathlib import Path

import click

from assistant.bench.acoustic.desk import open_bench_desk
from assistant.bench.acoustic.ears import opener
from assistant.bench.acoustic.goals import goals
from assistant.bench.acoustic.intervals import Rate, Share, verdict
from assistant.bench.acoustic.kept_plans import kept_plan
from assistant.bench.acoustic.logbook import Commit, commit_here, log_run, must_be_committed
from assistant.bench.acoustic.own_recordings import own_recordings
from assistant.bench.acoustic.parts import Size
from assistant.bench.acoustic.plan import Plan
from assistant.bench.acoustic.records import Kind, Part
from assistant.bench.acoustic.report import Load, percent, report
from assistant.bench.acoustic.results import RESULTS, as_line
from assistant.bench.acoustic.running import Wanted, hear_all, make_audio
from assistant.bench.acoustic.scoring import Result

_EVERY = 200
"""How often a long run says how far it is."""


@dataclass(frozen=True, slots=True)
class Scope:
    """Which trials: the part, the size, the kinds; or a folder of somebody's own recordings."""

    part: Part
    size: Size
    kinds: frozenset[Kind]
    uncommitted: bool = False
    recordings: Path | None = None

    @property
    def name(self) -> str:
        """The scope as a title and a folder name it."""
        return f"{self.part}-{self.size.name}" if self.recordings is None else "recordings"

    @property
    def arguments(self) -> str:
        """The scope as the command line has it."""
        if self.recordings is not None:
            return f"--recordings {self.recordings}"
        return f"--part {self.part} --size {self.size.name}"


@dataclass(frozen=True, slots=True)
class Measured:
    """The tables of a run, and the folder with all of its results."""

    text: str
    folder: Path


def planned(scope: Scope, cache: Path) -> Plan:
    """The trials of this scope; says which voices are not on this machine."""
    if scope.recordings is not None:
        return own_recordings(open_bench_desk(), scope.recordings)
    made = kept_plan(cache, scope.part, scope.size, scope.kinds)
    for voice in made.missing:
        click.echo(f"not on this machine: {voice}", err=True)
    return made


def measure(wanted: Wanted, scope: Scope, log: Path) -> Measured:
    """Make the audio, hear it, keep results and tables, add a line to the log."""
    opener(wanted.ears)
    now = datetime.now().astimezone()
    commit = commit_here(Path(__file__).parent)
    if scope.part is Part.TEST and not (scope.uncommitted or scope.recordings):
        must_be_committed(commit)
    trials = planned(scope, wanted.cache)
    for count, _ in enumerate(make_audio(trials, wanted.cache, wanted.jobs), start=1):
        _tell(count, len(trials.trials), "spoken")
    name = f"{now:%Y%m%d-%H%M%S}-{wanted.ears.replace(':', '.')}-{scope.name}"
    folder = wanted.cache / "runs" / name
    results, load = _heard(trials, wanted, folder)
    text = _titled(wanted, scope, commit, now) + report(results, load)
    (folder / "tables.md").write_text(text, encoding="utf-8")
    facts = _facts(wanted, scope, trials, results)
    log_run(log, now, commit, {**facts, "folder": str(folder)})
    return Measured(text, folder)


def _heard(trials: Plan, wanted: Wanted, folder: Path) -> tuple[list[Result], Load]:
    folder.mkdir(parents=True, exist_ok=True)
    results, before, peak = [], 0.0, 0.0
    with (folder / RESULTS).open("w", encoding="utf-8") as kept:
        for result, memory in hear_all(trials, wanted):
            kept.write(as_line(result) + "\n")
            results.append(result)
            before, peak = max(before, memory.before), max(peak, memory.peak)
            _tell(len(results), len(trials.trials), "heard")
    return results, Load(before, peak)


def _tell(count: int, of: int, what: str) -> None:
    if count % _EVERY == 0:
        click.echo(f"{count} of {of} {what}", err=True)


def _titled(wanted: Wanted, scope: Scope, commit: Commit, now: datetime) -> str:
    settings = "".join(f" --set {name}={value}" for name, value in wanted.settings.items())
    command = (
        f"python -m assistant.bench.acoustic run --ears {wanted.ears}{settings} {scope.arguments}"
    )
    return (
        f"# {wanted.ears}, {scope.name}\n\n"
        f"Commit {commit.shown}, {now:%Y-%m-%d %H:%M}.  Made by:\n`{command}`\n\n"
    )


def _facts(wanted: Wanted, scope: Scope, trials: Plan, results: list[Result]) -> dict[str, object]:
    return {
        "ears": wanted.ears,
        "settings": dict(wanted.settings),
        "part": scope.part.value,
        "size": scope.size.name,
        "recordings": str(scope.recordings) if scope.recordings else None,
        "kinds": sorted(kind.value for kind in scope.kinds),
        "jobs": wanted.jobs,
        "live": wanted.live,
        "missing": list(trials.missing),
        "trials": len(results),
        "goals": {
            row.name: f"{_shown(row.measured)} {verdict(row.measured, row.goal)}"
            for row in goals(results)
            if not isnan(row.measured.value)
        },
    }


def _shown(measured: Share | Rate) -> str:
    if isinstance(measured, Share):
        return f"{percent(measured.value)} of {measured.of}"
    return f"{measured.value:.2f}/h in {measured.hours:.2f} h"
