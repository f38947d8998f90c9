"""How long a plan takes: `python -m assistant.bench.plan_bench [BIRDS] [TIMES]`.

So many birds (10,000), no two alike: species of the table in turn, a weight of their usual range, a
ring and a cage each.  Prints medians of the processor's time on one core for reading the list, for
the plan alone, with weights in whole grams and in tenths, and for the whole command in a process of
its own, with the range from the fastest to the slowest.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from random import Random

from assistant.adapters.birds.table import read_bird_list
from assistant.adapters.home.folder import Holding, Home, species_table
from assistant.adapters.home.setting_up import make_demo
from assistant.bench.processes import children_s
from assistant.dosing.species import Species
from assistant.planning.round_plan import Wishes, plan_round

_CAGES = 40
_WHOLE, _TENTH = Decimal(1), Decimal("0.1")


def main(birds: int, times: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        home = Home(Path(folder) / "home")
        make_demo(home)
        holding = home.holding()
        for step, name in ((_WHOLE, "whole grams"), (_TENTH, "tenths of a gram")):
            path = Path(folder) / f"birds-{step}.csv"
            path.write_text("\n".join(_rows(birds, step)), "utf-8")
            _measure_one(f"{birds:,} birds, {name}", path, holding, times)
        command = [sys.executable, "-m", "assistant", "plan", "--home", str(home.path), str(path)]
        _print("the whole command, cold", [_command_seconds(command) for _ in range(times)])


def _measure_one(name: str, path: Path, holding: Holding, times: int) -> None:
    medicine = holding.usual_medicine
    if medicine is None:
        raise ValueError("The demo names its usual medicine.")
    wishes = Wishes(holding.kit.needle_change, holding.kit.spare_percent)
    listed = read_bird_list(path, holding.aviary).birds
    weights = len({bird.grams for bird in listed})
    print(f"{name}: {weights:,} different weights, {len({*listed}):,} different birds")  # noqa: T201 - a bench prints
    _print("reading the list", _times(lambda: read_bird_list(path, holding.aviary), times))
    _print("the plan", _times(lambda: plan_round(listed, medicine, holding.kit, wishes), times))


def _rows(birds: int, step: Decimal) -> Iterator[str]:
    """A list of birds, the same one each time."""
    chance = Random(7)  # noqa: S311 - made-up birds, no secret
    yield "species,grams,ring,cage"
    table = species_table()
    for number in range(birds):
        species = table[number % len(table)]
        yield f"{species.name},{_weight(species, step, chance)},R {number},Aviary {number % _CAGES}"


def _weight(species: Species, step: Decimal, chance: Random) -> Decimal:
    return chance.randint(int(species.low_g / step), int(species.high_g / step)) * step


def _times(work: Callable[[], object], times: int) -> list[float]:
    """The processor's time for each of so many runs, in seconds."""
    found = []
    for _ in range(times):
        begun = time.process_time()
        work()
        found.append(time.process_time() - begun)
    return found


def _command_seconds(command: list[str]) -> float:
    """The processor's time that a process of its own takes, in seconds."""
    before = children_s()
    subprocess.run(command, check=True, capture_output=True)  # noqa: S603 - our own interpreter and our own words
    return children_s() - before


def _print(name: str, seconds: list[float]) -> None:
    middle, least, most = statistics.median(seconds), min(seconds), max(seconds)
    spread = f"{least * 1000:.0f} to {most * 1000:.0f}"
    print(f"  {name:<24} {middle * 1000:6.0f} ms ({spread})")  # noqa: T201 - a bench prints


if __name__ == "__main__":
    main(*(int(word) for word in (*sys.argv[1:], *("10000", "7")[len(sys.argv) - 1 :])))
