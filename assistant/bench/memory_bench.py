"""Memory of the ears: `python -m assistant.bench.memory_bench [COUNT]`.

Prints the resident memory of this process (Linux, /proc/self/statm) as each ear is opened, and
after COUNT utterances of the development part that every one of them heard: requests, talk and
noise.  The bench's own part of it is what stands in the first row.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from pathlib import Path

from assistant.adapters.ears.memory import give_back
from assistant.audio import Clip
from assistant.bench.acoustic.desk import BenchDesk, open_bench_desk
from assistant.bench.acoustic.parts import size
from assistant.bench.acoustic.plan import SLOWEST_ENGINES, plan
from assistant.bench.acoustic.records import Kind, Part
from assistant.bench.acoustic.sound import to_clip
from assistant.bench.acoustic.store import Store, default_cache
from assistant.hearing.choosing import Ear
from assistant.ports import Ears
from assistant.wiring import Earbox

_KINDS = (Kind.DOSE, Kind.CHATTER, Kind.NOISE)
_MIB = 2**20


def resident_mib() -> float:
    """The resident memory of this process, in MiB."""
    pages = int(Path("/proc/self/statm").read_text("ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / _MIB


def main(count: int) -> None:
    """Measure and print."""
    desk = open_bench_desk()
    clips = list(islice(_clips(desk), count))
    _tell("before", resident_mib())
    box = Earbox(desk.desk)
    ears: list[Ears] = []
    opened: dict[str, Callable[[], Ears]] = {
        "phones": lambda: box.phones,
        "writing": lambda: box.writing,
        "pocketsphinx": lambda: box.one(Ear.POCKETSPHINX),
    }
    for name, open_ear in opened.items():
        ears.append(open_ear())
        give_back()
        _tell(f"{name} open", resident_mib())
    for heard in range(0, count, step := max(1, count // 6)):
        _hear(ears, clips[heard : heard + step])
        _tell(f"{min(heard + step, count)} heard by all", resident_mib())


def _clips(desk: BenchDesk) -> Iterator[Clip]:
    """Requests, talk and noise in turn, in the quick voices."""
    parts = plan(desk, Part.DEVELOPMENT, size("middle"), _KINDS)
    store = Store(default_cache(os.environ), {Part.DEVELOPMENT: parts.talkers})
    by_kind = [
        [
            one
            for one in parts.trials
            if one.phrase.kind is kind
            and not (one.voice and one.voice.engine in SLOWEST_ENGINES)
            and one.seconds <= 10  # noqa: PLR2004 - a usual piece of noise
        ]
        for kind in _KINDS
    ]
    for some in zip(*by_kind, strict=False):
        yield from (to_clip(store.audio(one).wave) for one in some)


def _hear(ears: Sequence[Ears], clips: Sequence[Clip]) -> None:
    for clip in clips:
        give_back()
        for ear in ears:
            ear.begin()
            ear.feed(clip)
            ear.finish()


def _tell(what: str, mib: float) -> None:
    print(f"{what:<24} {mib:7.0f} MiB", flush=True)  # noqa: T201 - a bench prints


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 120)
