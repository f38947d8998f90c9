"""A round of twelve birds through `dosewren talk`, spoken to and listened to on virtual devices.

Several synthesised keepers speak over birdsong, correct themselves, are misheard, chat with guests
and take a dose back.  Every volume is heard again in the sound of the answer by an ear that could
have heard any from 0.00 to 9.99 mL; the register must hold what the script says was given.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.adapters.sound.recordings import read_recording
from assistant.bench.live.volumes import VolumeEar, written_volumes
from tests.end_to_end.scenes import dosewren, play
from tests.end_to_end.whole_round import BIRDS, GOSSIP, MISTAKE

VOLUMES = (
    *("0.42", "0.15", "0.56", "0.51", "0.49", "0.52"),
    *("0.07", "0.48", "0.48", "0.64", "0.65", "1.6"),
)
"""By hand, 5 mL of the dilution for each kg, to the mark of the syringe nearest below or above."""

Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class Round:
    """What was said and answered, where its sound is, and the register afterwards."""

    exchanges: list[Row]
    folder: Path
    doses: list[dict[str, object]]

    def after(self, said: str) -> Row:
        """The last exchange of a phrase: what was not heard is said again."""
        return next(one for one in reversed(self.exchanges) if one["said"] == said)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Round:
    folder = tmp_path_factory.mktemp("round")
    home = folder / "home"
    dosewren(home, "setup", "--demo")
    kit = (home / "kit.toml").read_text("utf-8").replace('shake = "bird"', 'shake = "round"')
    (home / "kit.toml").write_text(f'{kit}\n[voice]\nname = "en-us"\nrate = 240\n', "utf-8")
    done = play("whole_round", home, folder)
    assert done.returncode == 0, f"{done.stdout[-3000:]}\n{done.stderr[-3000:]}"
    doses = [json.loads(line) for line in dosewren(home, "register", "--json").splitlines()]
    return Round(json.loads((folder / "exchanges.json").read_text("utf-8")), folder, doses)


def test_the_register_holds_what_was_given_in_order(whole: Round):
    kept = [
        (dose["species"], dose["grams"], dose["volume_ml"], dose["end"])
        for dose in whole.doses
        if dose["end"] != "scratched"
    ]
    assert kept == [
        (bird.species, bird.grams, volume, end.replace(" ", "_"))
        for (bird, end), volume in zip(BIRDS, VOLUMES, strict=True)
    ]


def test_the_volumes_are_those_of_the_label(whole: Round):
    for dose in whole.doses:
        exact = Decimal(str(dose["grams"])) * 5 / 1000
        mark = Decimal("0.1") if exact > 1 else Decimal("0.01")
        assert abs(Decimal(str(dose["volume_ml"])) - exact) <= mark / 2


def test_every_volume_is_heard_again_in_the_sound_of_the_answers(whole: Round):
    ear = VolumeEar()
    recordings = sorted(whole.folder.glob("answer-*.wav"))
    assert len(recordings) > len(BIRDS)
    for path in recordings:
        reply = whole.exchanges[int(path.stem.removeprefix("answer-"))]["reply"]
        assert ear.hear(read_recording(path), reply) == written_volumes(reply), (path, reply)


def test_given_said_into_the_volume_counts_only_once_all_was_heard(whole: Round):
    hasty = next(
        one
        for one in whole.exchanges
        if one["said"] == "given" and one.get("reply", "").startswith("First hear all of it")
    )
    assert "Budgerigar, 31 grams. 0.15 mL." in hasty["reply"]
    after = whole.exchanges[whole.exchanges.index(hasty) + 1 :]
    assert any(one.get("reply", "").startswith("Given: Budgerigar, 31 grams") for one in after)


def test_a_weight_is_corrected_before_it_is_given(whole: Round):
    answered = [one["reply"] for one in whole.exchanges if one.get("status") == "answered"]
    assert any(reply.startswith("Cockatiel, 95 grams") for reply in answered)
    assert any(reply.startswith("Corrected: Cockatiel, 85 grams") for reply in answered)
    ends = {dose["grams"]: dose["end"] for dose in whole.doses}
    assert (ends[95], ends[85]) == ("scratched", "given")


def test_a_weight_under_a_banging_door_is_asked_about_or_corrected(whole: Round):
    first = next(
        at for at, one in enumerate(whole.exchanges) if one["said"] == "cockatiel ninety six grams"
    )
    assert whole.exchanges[first].get("reply", "")[:20] != "Cockatiel, 96 grams."
    assert any(
        one["status"] == "answered" and "Cockatiel, 96 grams" in one["reply"]
        for one in whole.exchanges[first + 1 :]
    )


@pytest.mark.parametrize("words", GOSSIP)
def test_talk_among_people_gets_no_dose(whole: Round, words: str):
    assert whole.after(words).get("status", "ignored") in ("ignored", "asked")


def test_what_was_scratched_does_not_count(whole: Round):
    scratched = [dose["species"] for dose in whole.doses if dose["end"] == "scratched"]
    assert MISTAKE.species in scratched
    assert whole.after("how many done")["reply"].startswith("10 birds given.")
