"""What a disk may hold when the power goes: from a trace of the writes, every state in between.

The kernel is believed to keep what was synced, and nothing else: of the writes to a file since its
last sync any may have reached the disk, in any order and cut at any sector.  That a file was made
or removed is sure when its folder was synced.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

SECTOR = 512
FOLDER = "."

CALLS = "openat,pwrite64,write,ftruncate,unlink,fsync,fdatasync"
_LINE = re.compile(r"\d+ +(\w+)\((.*)\) += (-?\d+)")
_FILE = re.compile(r"\d+<((?:\\x[0-9a-f]{2})*)>")
_TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')

Disk = dict[str, bytes]
"""The files of the home by name."""


@dataclass(frozen=True)
class Act:
    """One thing that the program did: `told` a line, or made, wrote, cut, removed, synced a file.

    The folder itself can be synced too; its name is FOLDER.
    """

    kind: str
    name: str = ""
    data: bytes = b""
    at: int = 0

    @property
    def sure_by(self) -> str:
        """What has to be synced before this is sure."""
        return FOLDER if self.kind in {"made", "removed"} else self.name


def traced(command: Sequence[str], folder: Path, trace: Path) -> list[Act]:
    """Run the command; everything that it did to files of the folder, and told, in order."""
    strace = ["strace", "-f", "-y", "-xx", "-s", "1000000", "-e", f"trace={CALLS}", "-o"]
    subprocess.run([*strace, str(trace), *command], check=True, capture_output=True)
    found = (_act(line, folder) for line in trace.read_text("ascii", "replace").splitlines())
    return [act for act in found if act]


def _act(line: str, folder: Path) -> Act | None:
    read = _LINE.match(line)
    if read is None:
        # a call that another thread cut in two would be missed
        assert "unfinished" not in line or str(folder) not in line, line
        return None
    call, rest, result = read.groups()
    texts = [_unescaped(one) for one in _TEXT.findall(rest)]
    if call == "write" and rest.startswith("1<"):
        return Act("told", data=texts[0])
    path = Path(texts[0].decode() if call in {"openat", "unlink"} else _opened(rest))
    if path == folder and call in {"fsync", "fdatasync"}:
        return Act("synced", FOLDER)
    if path.parent != folder or path.name.endswith("-shm") or int(result) < 0:
        return None
    return _to_file(call, path.name, texts, rest)


def _to_file(call: str, name: str, texts: Sequence[bytes], rest: str) -> Act | None:
    match call:
        case "openat":
            return Act("made", name) if "O_CREAT" in rest else None
        case "pwrite64":
            return Act("wrote", name, texts[0], int(rest.rpartition(", ")[2]))
        case "ftruncate":
            return Act("cut", name, at=int(rest.rpartition(", ")[2]))
        case "unlink":
            return Act("removed", name)
        case "fsync" | "fdatasync":
            return Act("synced", name)
    raise AssertionError(f"not foreseen: {rest[:200]}")


def _opened(rest: str) -> str:
    found = _FILE.match(rest)
    return _unescaped(found[1]).decode() if found else ""


def _unescaped(text: str) -> bytes:
    return bytes.fromhex(text.replace("\\x", ""))


def after(disk: Disk, acts: Sequence[Act]) -> Disk:
    """The disk when all of this has reached it."""
    for act in acts:
        disk = _done(disk, act)
    return disk


def states(disk: Disk, acts: Sequence[Act], chance: Random) -> Iterator[Disk]:
    """What the disk may hold when the power goes after these acts: all, what was synced, some."""
    synced = {act.name: place for place, act in enumerate(acts) if act.kind == "synced"}
    sure = [act for place, act in enumerate(acts) if place < synced.get(act.sure_by, -1)]
    loose = [act for place, act in enumerate(acts) if place >= synced.get(act.sure_by, -1)]
    yield after(disk, acts)
    yield after(disk, sure)
    for share in (0.3, 0.7):
        some = [_torn(act, chance) for act in loose if chance.random() < share]
        chance.shuffle(some)
        yield after(after(disk, sure), some)


def _torn(act: Act, chance: Random) -> Act:
    sectors = -(-len(act.data) // SECTOR)
    kept = chance.choice((sectors, chance.randint(0, sectors)))
    return Act(act.kind, act.name, act.data[: kept * SECTOR], act.at)


def _done(disk: Disk, act: Act) -> Disk:
    change = _CHANGES.get(act.kind)
    return change(disk, act) if change else disk


def _wrote(disk: Disk, act: Act) -> Disk:
    old = disk.get(act.name, b"").ljust(act.at, b"\0")
    new = old[: act.at] + act.data + old[act.at + len(act.data) :]
    return {**disk, act.name: new}


def _cut(disk: Disk, act: Act) -> Disk:
    return {**disk, act.name: disk.get(act.name, b"")[: act.at].ljust(act.at, b"\0")}


def _made(disk: Disk, act: Act) -> Disk:
    return {act.name: b"", **disk}


def _removed(disk: Disk, act: Act) -> Disk:
    return {name: data for name, data in disk.items() if name != act.name}


_CHANGES: dict[str, Callable[[Disk, Act], Disk]] = {
    "made": _made,
    "wrote": _wrote,
    "cut": _cut,
    "removed": _removed,
}
