"""As on a small board: `python -m assistant.bench.small_board [--share 0.25] [--memory 1000]`.

Runs `ask` and, in a checkout, `hear` on the demo's recordings and the start of `talk`, each
in a control group of its own: on one core, of which it gets only a share, and with so much memory
and no more (the page cache counts, swap is off).  Prints how long each took, the processor time in
it, and the most memory that it held.  What the page cache holds of the installation is dropped
before each.  Needs Linux and root.

The share is dealt out in slices of 10 ms, so that short work is slowed down as long work is, and
before anybody else gets the core, so that a machine with other work measures the same.  It slows
the core, not the memory or the disk: a board's are slower too.  The first line says how fast that
core is, to be compared with a board's own: `python -m assistant.bench.small_board --core`.

Source: Documentation/admin-guide/cgroup-v1/memory.rst and cgroup-v2.rst, and
Documentation/scheduler/sched-bwc.rst, of the Linux kernel.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import click
import numpy as np

from assistant.adapters.home.folder import Home
from assistant.adapters.home.setting_up import make_demo
from assistant.bench.processes import CHECKOUT, can_have_sound, children_s, has_sound, with_sound
from assistant.bench.run_command import run_command
from assistant.errors import PartMissing

CONTROL = Path("/sys/fs/cgroup")
RECORDINGS = CHECKOUT / "fixtures" / "demo"
PERIOD_US = 10_000
MEGABYTE = 1_000_000
PATIENCE_S = 900
LEFT_BEHIND_S = 10

Lines = Mapping[Path, str]


@dataclass(frozen=True, slots=True)
class Board:
    """One slow core and little memory."""

    share: float
    memory_mb: int

    def limits(self, name: str) -> Lines:
        """What is to be written into which files of the kernel, in their order."""
        quota, memory = int(self.share * PERIOD_US), str(self.memory_mb * MEGABYTE)
        if not unified():
            cpu, held = CONTROL / "cpu" / name, CONTROL / "memory" / name
            return {
                cpu / "cpu.cfs_period_us": str(PERIOD_US),
                cpu / "cpu.cfs_quota_us": str(quota),
                cpu / "cpu.shares": "262144",
                held / "memory.limit_in_bytes": memory,
                held / "memory.memsw.limit_in_bytes": memory,
            }
        group = CONTROL / name
        return {
            CONTROL / "cgroup.subtree_control": "+cpu +memory",
            group / "cpu.max": f"{quota} {PERIOD_US}",
            group / "cpu.weight": "10000",
            group / "memory.max": memory,
            group / "memory.swap.max": "0",
        }


@dataclass(frozen=True, slots=True)
class Ran:
    """What one command showed, whether it got so far as it should, and what it took."""

    shown: str
    whole: bool
    elapsed_s: float
    busy_s: float
    peak_mb: float


def unified() -> bool:
    """Whether the kernel's control groups are of version 2."""
    controllers = CONTROL / "cgroup.controllers"
    return controllers.exists() and {"cpu", "memory"} <= set(controllers.read_text().split())


@contextmanager
def limited(board: Board) -> Iterator[Sequence[Path]]:
    """The folders of a control group with the board's limits."""
    name = f"dosewren-board-{os.getpid()}"
    folders = (
        [CONTROL / name] if unified() else [CONTROL / part / name for part in ("cpu", "memory")]
    )
    try:
        for folder in folders:
            folder.mkdir()
        for path, value in board.limits(name).items():
            path.write_text(value, "ascii")
    except OSError as error:
        raise PartMissing(
            f"No control group with these limits: {error}", remedy="Run it as root, on Linux."
        ) from error
    try:
        yield folders
    finally:
        for folder in folders:
            clear(folder)
            folder.rmdir()


def clear(group: Path) -> None:
    """Wait for the processes that a command leaves behind for a moment; end those that stay."""
    give_up = time.monotonic() + LEFT_BEHIND_S
    while left := (group / "cgroup.procs").read_text("ascii").split():
        if time.monotonic() > give_up:
            for process in left:
                os.kill(int(process), signal.SIGKILL)
        time.sleep(0.02)


def within(folders: Sequence[Path], command: Sequence[str]) -> list[str]:
    """The command, so that it joins the group by itself before it begins."""
    joins = "".join(f'echo $$ > "{folder}/cgroup.procs"; ' for folder in folders)
    return ["taskset", "--cpu-list", "0", "sh", "-c", f'{joins}exec "$@"', "sh", *command]


def run(board: Board, command: Sequence[str], *, until: str | None = None) -> Ran:
    """Run it to its end, or until it has shown a line with the words named."""
    forget(Path(np.__file__).parents[1])
    with limited(board) as folders:
        begun, busy_s = time.perf_counter(), children_s()
        with subprocess.Popen(  # noqa: S603 - our own command
            within(folders, command), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        ) as child:
            shown = "".join(lines_until(child.stdout or (), until))
            elapsed_s = time.perf_counter() - begun
            if until:
                child.terminate()
            child.communicate(timeout=PATIENCE_S)
        whole = until in shown if until else child.returncode == 0
        return Ran(shown, whole, elapsed_s, children_s() - busy_s, peak_mb(folders))


def lines_until(lines: Iterable[str], wanted: str | None) -> Iterator[str]:
    """All lines, or those to the first one with the words wanted."""
    for line in lines:
        yield line
        if wanted and wanted in line:
            return


def peak_mb(folders: Sequence[Path]) -> float:
    """The most memory that a group held, in megabytes."""
    peak = folders[-1] / ("memory.peak" if unified() else "memory.max_usage_in_bytes")
    return int(peak.read_text("ascii")) / MEGABYTE


def forget(installed: Path) -> None:
    """Drop what the page cache holds of the files, so that they are read from disk again."""
    for path in installed.rglob("*"):
        if path.is_file():
            with path.open("rb") as file:
                os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def core() -> str:
    """How fast this core is, in Python's own steps and in numpy's."""
    steps, size, turns = 3_000_000, 256, 60
    begun = time.perf_counter()
    total = 0
    for step in range(steps):
        total += step
    loop_s = time.perf_counter() - begun
    square = np.ones((size, size), np.float32)
    begun = time.perf_counter()
    for _ in range(turns):
        square @ square
    products_per_s = turns * size**3 / (time.perf_counter() - begun)
    loops = f"{steps / loop_s / 1e6:.1f} million loops of Python"
    return f"this core: {loops}, {products_per_s / 1e9:.1f} billion products of float32 a second"


def jobs(home: Path) -> Iterator[tuple[str, Sequence[str], str | None]]:
    """What is measured: its name, its command, and the words that it is measured to."""
    ours = (sys.executable, "-u", "-m", "assistant")
    recordings = sorted(map(str, RECORDINGS.glob("*.wav")))
    placed = ("--home", str(home))
    yield "ask, one bird", (*ours, "ask", *placed, "cockatiel ninety five grams"), None
    if recordings:
        hear = (*ours, "hear", *placed)
        yield "hear, one recording, the first time", (*hear, recordings[0]), None
        yield "hear, one recording", (*hear, recordings[0]), None
        yield f"hear, {len(recordings)} recordings", (*hear, *recordings), None
    if has_sound():
        yield "talk, start to greeting", (*ours, "talk", *placed), "vet come first"
        yield "talk, start to listening", (*ours, "talk", *placed), "listening"


@click.command()
@click.option("--share", default=0.25, help="The share of one core that the board has.")
@click.option("--memory", "memory_mb", default=1000, help="Its memory in megabytes.")
@click.option("--core", "only_core", is_flag=True, help="Only say how fast this core is.")
def main(*, share: float, memory_mb: int, only_core: bool) -> None:
    """Measure and print."""
    if only_core:
        click.echo(core())
        return
    board = Board(share, memory_mb)
    timed = run(board, (sys.executable, "-m", "assistant.bench.small_board", "--core"))
    click.echo(f"{share:.0%} of one core, {memory_mb} MB; {timed.shown}")
    click.echo("| | elapsed | processor | most memory |")
    click.echo("|---|---:|---:|---:|")
    with tempfile.TemporaryDirectory() as folder:
        make_demo(Home(Path(folder)))
        for name, command, until in jobs(Path(folder)):
            ran = run(board, command, until=until)
            elapsed = f"{ran.elapsed_s:.1f} s" if ran.whole else "ended too soon"
            took = f"{elapsed} | {ran.busy_s:.1f} s | {ran.peak_mb:.0f} MB"
            click.echo(f"| {name} | {took} |")
            if not ran.whole:
                click.echo(ran.shown, err=True)


if __name__ == "__main__":
    # the virtual sound devices are outside the limits
    bare = has_sound() or not can_have_sound() or "--core" in sys.argv
    again = sys.argv[1:]
    sys.exit(run_command(main) if bare else with_sound("assistant.bench.small_board", again))
