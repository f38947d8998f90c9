"""A thousand answers in a row from one voice: `python -m assistant.bench.voice_bench [COUNT]`.

Prints the time of the first and of the median answer, whether equal words gave equal samples, and
the memory, descriptors and processes at the start and at the end.  Reads /proc, so Linux only.
"""

from __future__ import annotations

import resource
import statistics
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from assistant.adapters.talk.voice import EspeakVoice

WORDS = (
    "cockatiel, ninety five grams: nought point four eight mils.",
    "dry needle: draw past the mark, tip up, push the surplus out to the mark.",
    "given.",
    "which bird?",
)


@dataclass(frozen=True, slots=True)
class Load:
    """What the assistant and its worker hold on to at one moment."""

    kilobytes: int
    worker_kilobytes: int
    descriptors: int
    processes: int


def main(count: int) -> None:
    """Render `count` answers and print the figures."""
    begun = time.perf_counter()
    voice = EspeakVoice(165, None)
    voice.render(WORDS[0])
    first = time.perf_counter() - begun
    before = _measure()
    seconds, sounds = [], set()
    for number in range(count):
        begun = time.perf_counter()
        clip = voice.render(WORDS[number % len(WORDS)])
        seconds.append(time.perf_counter() - begun)
        sounds.add((clip.pcm, clip.rate_hz))
    after = _measure()
    report = (
        f"voice             {voice.name}",
        f"first answer      {first * 1000:.0f} ms from nothing",
        f"answers in a row  {count} in {sum(seconds):.1f} s",
        f"median            {statistics.median(seconds) * 1000:.0f} ms",
        f"slowest           {max(seconds) * 1000:.0f} ms",
        f"texts and sounds  {len(WORDS)} texts, {len(sounds)} different sounds",
        f"before            {before}",
        f"after             {after}",
    )
    sys.stdout.write("\n".join(report) + "\n")
    voice.close()


def _measure() -> Load:
    own = Path("/proc/self/task").glob("*/children")
    workers = [pid for file in own for pid in file.read_text().split()]
    return Load(
        kilobytes=_resident("self"),
        worker_kilobytes=sum(_resident(pid) for pid in workers),
        descriptors=sum(1 for _ in Path("/proc/self/fd").iterdir()),
        processes=len(workers),
    )


def _resident(pid: str) -> int:
    pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    return pages * resource.getpagesize() // 1024


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
