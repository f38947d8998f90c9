"""A worked season: 60 birds of 12 species, three rounds two weeks apart, and what goes wrong.

Everything is INVENTED: the birds, their weights, the medicine.  What is said here is typed into the
real command; nothing else is known of it but the files it writes.
"""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parents[2]
ON_A_DAY = Path(__file__).with_name("on_a_day.py")
DAYS = ("2026-03-01", "2026-03-15", "2026-03-29")
DUE = "2026-03-25"
DAY_AFTER = "2026-03-30"

Answer = dict[str, object]


def birds() -> list[dict[str, str]]:
    """The sixty birds, with their weights in each of the three rounds."""
    with (ROOT / "fixtures" / "season" / "birds.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@dataclass
class Season:
    """The keeper's folder, and every answer so far, by sitting."""

    home: Path
    answers: dict[str, list[Answer]] = field(default_factory=dict)
    printed: dict[str, str] = field(default_factory=dict)

    def run(self, when: str, *words: str) -> str:
        """What the command prints on a day."""
        done = subprocess.run(
            self._command(when, *words),
            env=self._place,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    def sit(self, name: str, when: str, lines: list[str]) -> None:
        """One sitting: the lines typed into `ask -` one by one, and its answers kept.

        The keeper says yes where medicine, batch and needle are asked for again.
        """
        answers = self.answers[name] = []
        with subprocess.Popen(
            self._command(when, "ask", "--json", "-"), env=self._place, text=True, bufsize=1,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        ) as typed:  # fmt: skip
            for line in lines:
                answers.append(_answered(typed, line))
                if answers[-1]["reason"] == "round":
                    answers.append(_answered(typed, "yes"))

    def _command(self, when: str, *words: str) -> list[str]:
        return [sys.executable, str(ON_A_DAY), f"{when}+10:00", *words]

    @property
    def _place(self) -> dict[str, str]:
        return {**os.environ, "DOSEWREN_HOME": str(self.home), "PYTHONPATH": str(ROOT)}

    def keep(self, name: str, when: str, *words: str) -> None:
        """A command about the stock, and what it printed."""
        self.printed[name] = self.run(when, "stock", *words, "--yes")

    def exported(self, *words: str) -> list[dict[str, str]]:
        """An export as rows."""
        return list(csv.DictReader(self.run(f"{DAY_AFTER}T09:00:00", *words, "--csv").splitlines()))

    def answer(self, sitting: str, heard: str, nth: int = 0) -> Answer:
        """What was answered to these words, the first time or a later one."""
        return [one for one in self.answers[sitting] if one["heard"] == heard][nth]


def _answered(typed: subprocess.Popen[str], line: str) -> Answer:
    assert typed.stdin
    assert typed.stdout
    typed.stdin.write(f"{line}\n")
    answer: Answer = json.loads(typed.stdout.readline())
    assert answer["heard"] == line
    return answer


def lines_for(
    flock: list[dict[str, str]], column: str, mishaps: Mapping[str, list[str]]
) -> Iterator[str]:
    """Every bird in its turn, a new needle for each species; a mishap takes the place of a bird.

    In a mishap {bird} is the bird's name and {g} its weight; the last species goes by its rings.
    """
    species = ""
    for bird in flock:
        if species not in ("", bird["species"]):
            yield "new needle"
        species = bird["species"]
        name = f"ring {bird['ring']}" if species == "Zebra finch" else bird["name"]
        for line in mishaps.get(bird["name"], ["{bird} {g} g", "given"]):
            yield line.format(bird=name, g=bird[column])


FIRST = {
    "Cinder": ["{bird} {g} g", "spat it out"],
    "Kestrel": ["{bird} {g} g", "it refused"],
    "Larch": ["{bird} {g} g", "given", "Alder 31 g"],
    "Mallow": ["ring S 999 54 g", "{bird} {g} g", "given"],
    "Pippin": ["{bird} 340 g", "no, {g}", "given"],
    "Umber": ["{bird} {g} g", "wrong bird", "{bird} {g} g", "given"],
    "Zinnia": ["{bird} {g} g", "given", "scratch that", "{bird} {g} g", "given"],
    "Heather": ["{bird} {g} g", "it got away", "{bird} {g} g", "given"],
    "Nutmeg": ["{bird} {g} g", "don't know"],
}
"""The first round: part given, refused, a double dose tried, a wrong ring, a wrong weight, the
wrong bird, a slip taken back, one that got away, one that nobody knows of."""

SECOND_A = {
    "Indigo": ["{bird} {g} g", "given", "spilled the pot", "pot holds 24", "how much is left"]
}
SECOND_B = {"Rowan": ["Alder 32 g", "{bird} {g} g", "it refused"]}
THIRD = {
    "Alder": ["{bird} {g} g", "given", "ring S 101 31 g"],
    "Hickory": ["{bird} {g} g", "it refused"],
}

MARIGOLD = (
    "make",
    "--medicine",
    "Marigold Demo",
    "--product-batch",
    "LOT 7",
    "--expires",
    "2027-06",
)


def play(home: Path) -> Season:
    """The whole season, told to the real command."""
    season = Season(home)
    season.run(f"{DAYS[0]}T07:00:00", "setup", "--demo")
    flock = birds()
    (home / "birds.toml").write_text(
        "".join(
            f'[[bird]]\nname = "{one["name"]}"\nring = "{one["ring"]}"\n'
            f'species = "{one["species"]}"\n\n'
            for one in flock
        ),
        encoding="utf-8",
    )
    _first(season, flock)
    _second(season, flock)
    _third(season, flock)
    everyone = [line for one in flock for line in (f"{one['name']} {one['third_g']} g", "no")]
    season.sit("day after", f"{DAY_AFTER}T08:00:00", ["without a batch", *everyone, "not given"])
    return season


def _first(season: Season, flock: list[dict[str, str]]) -> None:
    day = DAYS[0]
    season.keep(
        "make 1", f"{day}T07:30:00", *MARIGOLD, "--product", "4", "--water", "36", "--pot", "jar"
    )
    season.sit("first", f"{day}T08:00:00", ["yes", *lines_for(flock, "first_g", FIRST), "goodbye"])
    left = season.exported("stock", "list")[0]["left_ml"]
    # the keeper does not know that a millilitre ran down the jar
    season.keep("measure 1", f"{day}T10:00:00", "measure", "1", str(float(left) - 1))
    season.keep("throw 1", f"{day}T10:01:00", "throw", "1")


def _second(season: Season, flock: list[dict[str, str]]) -> None:
    day = DAYS[1]
    season.keep(
        "make 2", f"{day}T07:30:00", *MARIGOLD, "--product", "4", "--water", "36", "--pot", "jar"
    )
    early, late = flock[:40], flock[40:]
    first = ["yes", *lines_for(early, "second_g", SECOND_A), "enough for how many", "goodbye"]
    season.sit("second", f"{day}T08:00:00", first)
    season.keep(
        "make 3", f"{day}T10:00:00", *MARIGOLD, "--product", "2", "--water", "18", "--pot", "cup"
    )
    then = ["batch 1", "yes", *lines_for(late, "second_g", SECOND_B), "goodbye"]
    season.sit("second, after a restart", f"{day}T10:05:00", then)
    season.keep("throw 2", f"{day}T12:00:00", "throw", "2")


def _third(season: Season, flock: list[dict[str, str]]) -> None:
    day = DAYS[2]
    season.sit("too early", f"{DAYS[1]}T13:00:00", ["yes", "Alder 32 g"])
    season.printed["due"] = season.run(f"{DUE}T07:00:00", "due")
    season.sit("old pot", f"{day}T07:00:00", ["batch 3"])
    season.keep(
        "make 4",
        f"{day}T07:30:00",
        *MARIGOLD,
        "--product",
        "3.5",
        "--water",
        "31.5",
        "--pot",
        "jar",
    )
    season.sit("third", f"{day}T08:00:00", ["yes", *lines_for(flock, "third_g", THIRD), "goodbye"])
