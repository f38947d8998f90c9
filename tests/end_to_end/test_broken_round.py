"""A round in which the headset runs flat, and in which the power goes while an answer is spoken."""

from __future__ import annotations

import json
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.adapters.sound.recordings import read_recording
from assistant.bench.live.volumes import VolumeEar
from tests.end_to_end.scenes import dosewren, play

AGAIN = (
    "The label and your vet come first. The last round stopped. The dose for Pepper, Cockatiel, "
    "90 grams, nine zero, 0.45 mL is still open. Was it given? Say given, part given, not given or "
    "don't know."
)


@dataclass(frozen=True, slots=True)
class Round:
    """What was said and answered, the first words after the new start, and the register."""

    exchanges: list[dict[str, str]]
    again: Path
    doses: list[dict[str, object]]


@pytest.fixture(scope="module")
def broken(tmp_path_factory: pytest.TempPathFactory) -> Round:
    folder = tmp_path_factory.mktemp("broken")
    home = folder / "home"
    dosewren(home, "setup", "--demo")
    with (home / "kit.toml").open("a") as kit:
        kit.write('[voice]\nname = "en-us"\nrate = 220\n')
    done = play("broken_round", home, folder)
    assert done.returncode == 0, f"{done.stdout[-3000:]}\n{done.stderr[-3000:]}"
    doses = [json.loads(line) for line in dosewren(home, "register", "--json").splitlines()]
    exchanges = json.loads((folder / "exchanges.json").read_text("utf-8"))
    return Round(exchanges, folder / "again.wav", doses)


def test_every_dose_has_its_end_in_the_register(broken: Round):
    kept = [
        (dose["bird"] or dose["species"], dose["grams"], dose["volume_ml"], dose["end"])
        for dose in broken.doses
        if dose["end"] != "scratched"
    ]
    assert kept == [
        ("Budgerigar", 31, "0.15", "given"),
        ("Galah", 320, "1.6", "given"),
        ("Pepper", 90, "0.45", "given"),
        ("Budgerigar", 34, "0.17", "given"),
    ]


def test_it_was_killed_while_it_spoke(broken: Round):
    killed = next(one for one in broken.exchanges if one["said"] == "killed")
    assert float(killed["quiet_s"]) < 0.5


def test_after_the_new_start_it_asks_first_whether_the_dose_was_given(broken: Round):
    ear = VolumeEar()
    assert ear.hear(read_recording(broken.again), AGAIN) == (Decimal("0.45"),)
    after = broken.exchanges[[one["said"] for one in broken.exchanges].index("killed") + 1]
    assert after["said"] == "given"


def test_what_was_open_when_the_headset_went_is_ended_when_it_is_back(broken: Round):
    replies = [one.get("reply", "") for one in broken.exchanges]
    assert any(reply.startswith("Given: Galah, 320 grams, 1.6 mL.") for reply in replies)
