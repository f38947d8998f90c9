from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.home.folder import Home, species_table
from assistant.adapters.home.setting_up import CAUTIONS, make_demo, set_up
from assistant.adapters.terminal.read_back import example_answer
from assistant.dosing.medicine import ConfirmationState
from assistant.errors import DataProblem, PartMissing, UsageProblem

if TYPE_CHECKING:
    from tests.adapters.conftest import Desks

FILES = ["birds.toml", "kit.toml", "medicines.toml"]
KIT = ("Ann", "", "", "", "Lane 1", "", "182", "1/0.01, 2.5/0.1", "14 x 75, 12 x 100")
MEDICINE = (
    *("yes", "Test mix", "mix, test mix", "testium", "25 mg/mL", "0.5 mL/kg", "no", "1 + 9"),
    *("", "suspension", "", "2", "10 to 14", "2", "crop", "pigeon: never"),
    *("0", "", "roundworm", "", "the label"),
)


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def test_the_demo_is_ready_to_answer_where_no_folder_was(home: Path):
    written = make_demo(Home(home))

    assert sorted(path.name for path in written) == FILES
    holding = Home(home).holding()
    assert holding.kit.keeper == "Demo Keeper"
    species = holding.aviary.species("Cockatiel")
    medicine = holding.medicine("marigold")
    assert medicine is not None
    answer = example_answer(holding.kit, medicine, species, species.low_g)
    assert "mL syringe" in answer


def test_the_digests_in_the_demo_are_those_of_its_figures(home: Path):
    make_demo(Home(home))

    for medicine in Home(home).medicines():
        assert medicine.confirmation is not None
        assert medicine.confirmation.figures == medicine.figures
        assert medicine.confirmation_state is ConfirmationState.CONFIRMED


def test_the_demo_is_marked_as_invented_and_cautions_no_species(home: Path):
    make_demo(Home(home))

    for medicine in Home(home).medicines():
        assert medicine.fictional
        assert "Invented" in medicine.source
        assert medicine.cautions == ()
    for name in FILES:
        assert "INVENTED" in (home / name).read_text("utf-8")


def test_the_demos_figures_are_those_of_the_scenario(home: Path):
    make_demo(Home(home))
    marigold = Home(home).medicines()[0]

    assert marigold.strength_mg_per_ml == 25
    # Mission example: 0.5 mL of the dilution for each 100 g.
    assert marigold.working_ml_per_g * 100 == Fraction(1, 2)
    assert marigold.safety_multiple == 10


def test_the_demo_made_twice_changes_nothing(home: Path):
    make_demo(Home(home))
    before = contents(home)

    assert make_demo(Home(home)) == ()
    assert contents(home) == before


@pytest.mark.parametrize("name", FILES)
def test_the_demo_leaves_a_file_that_is_there_byte_for_byte(home: Path, name: str):
    home.mkdir()
    (home / name).write_bytes(b"# mine\r\n\xff")

    written = make_demo(Home(home))

    assert (home / name).read_bytes() == b"# mine\r\n\xff"
    assert sorted(path.name for path in written) == [one for one in FILES if one != name]


def test_the_demo_beside_own_medicines_names_none_of_its_own(home: Path, desks: Desks):
    set_up(desks.answered(*KIT, *MEDICINE, "no"))
    (home / "kit.toml").unlink()

    make_demo(Home(home))

    usual = Home(home).holding().usual_medicine
    assert usual is not None
    assert usual.name == "Test mix"


def test_a_demo_that_cannot_be_written_is_told(tmp_path: Path):
    (tmp_path / "home").write_text("a file", "utf-8")

    with pytest.raises(PartMissing, match="cannot be made"):
        make_demo(Home(tmp_path / "home"))


def test_setup_shows_the_cautions_before_it_asks(desks: Desks):
    with pytest.raises(UsageProblem):
        set_up(desks.answered())

    assert desks.keeper.said[0] == CAUTIONS
    assert len(desks.keeper.asked) == 1
    assert "vet come first" in CAUTIONS
    assert "rules where you live" in CAUTIONS
    assert "Never use them for a real bird" in CAUTIONS


def test_setup_writes_what_was_answered(desks: Desks, home: Path):
    written = set_up(desks.answered(*KIT, *MEDICINE, "no"))

    assert sorted(path.name for path in written) == FILES
    assert desks.keeper.answers == []
    holding = desks.home.holding()
    assert holding.kit.keeper == "Ann"
    assert [one.name for one in holding.kit.syringes] == ["1 mL syringe", "2.5 mL syringe"]
    assert holding.kit.default_needle.gauge == 14
    (medicine,) = holding.medicines
    assert medicine.spoken == ("mix", "test mix")
    assert medicine.strength_mg_per_ml == 25
    assert medicine.label.neat_ml_per_kg == Fraction(1, 2)
    assert medicine.dilution.factor == 10
    assert [(one.applies_to, one.text) for one in medicine.cautions] == [("pigeon", "never")]
    assert stat.S_IMODE(home.stat().st_mode) == 0o700


def test_a_medicine_from_setup_is_not_confirmed_unless_the_keeper_does_it(desks: Desks):
    set_up(desks.answered(*KIT, *MEDICINE, "no"))

    assert desks.home.medicines()[0].confirmation_state is ConfirmationState.UNCONFIRMED
    assert 'dosewren confirm "Test mix"' in desks.keeper.heard


def test_setup_leads_into_the_confirmation(desks: Desks):
    set_up(desks.answered(*KIT, *MEDICINE, "yes", "cockatiel 95 g", "yes", ""))

    (medicine,) = desks.home.medicines()
    assert medicine.is_confirmed
    assert medicine.confirmation is not None
    assert medicine.confirmation.by == "Ann"
    assert [note.kind for note in desks.register.notes()] == ["confirmed"]


@dataclass(frozen=True)
class Wrong:
    """A wrong answer: to which question, by its number, and what is said about it."""

    question: int
    answer: str
    told: str


@pytest.mark.parametrize(
    "wrong",
    [
        Wrong(0, "", "An answer is needed"),
        Wrong(0, "Ann\x1b[2J", "a sign that cannot be written"),
        Wrong(0, "x" * 400, "longer than 300"),
        Wrong(1, "1", "unit is missing"),
        Wrong(3, "galah", "already means something"),
        Wrong(3, "joe", "cannot be the attention word"),
        Wrong(6, "often", "not a whole number"),
        Wrong(7, "1", "as in 1/0.01"),
        Wrong(7, "100 units/1 unit", "insulin units"),
        Wrong(7, "1/0.03", "cannot be marked every 0.03 mL"),
        Wrong(7, ", ,", "one at least"),
        Wrong(8, "fourteen", "gauge x length"),
        Wrong(8, "99 x 75", "gauge"),
        Wrong(9, "y", "whole word"),
        Wrong(13, "25", "unit is missing"),
        Wrong(14, "0.5 cc/kg", "write mL, not cc"),
        Wrong(14, "-1 mL/kg", "below zero"),
        Wrong(15, "", "whole word"),
        Wrong(16, "1:10", "read in two ways"),
        Wrong(17, "NaN", "not a number"),
        Wrong(17, "ten", "not a number"),
        Wrong(17, "0.5", "below the label's own dose"),
        Wrong(18, "paste", "neither a suspension"),
        Wrong(21, "14 to 10", "not a window"),
        Wrong(21, "soon", "not a window"),
        Wrong(22, "two", "not a whole number"),
        Wrong(22, "0", "not a number above zero"),
        Wrong(23, "vein", "not a way of giving"),
        Wrong(24, "pidgin: never", "no bird here is called “pidgin”"),
        Wrong(24, "pigeon", "what the label says"),
        Wrong(25, "a week", "not a whole number"),
        Wrong(26, "9999", "not a number of whole days"),
    ],
    ids=lambda wrong: f"{wrong.question}-{wrong.answer[:12]!r}",
)
def test_a_wrong_answer_is_told_at_once_and_asked_again(desks: Desks, wrong: Wrong):
    answers = [*KIT, *MEDICINE, "no"]
    answers.insert(wrong.question, wrong.answer)

    set_up(desks.answered(*answers))

    asked = desks.keeper.asked
    assert asked[wrong.question] == asked[wrong.question + 1]
    assert wrong.told in desks.keeper.heard
    assert desks.home.medicines()[0].name == "Test mix"


@pytest.mark.parametrize("given", range(len(KIT) + len(MEDICINE)))
def test_answers_that_end_early_leave_nothing_behind(desks: Desks, home: Path, given: int):
    with pytest.raises(UsageProblem, match="input ended at the question"):
        set_up(desks.answered(*[*KIT, *MEDICINE][:given]))

    assert not home.exists()


def test_words_that_mean_something_to_toml_are_kept_as_words(desks: Desks):
    name = 'Mix "A" \\ # = [x] é 오'
    answers = [*KIT, *MEDICINE, "no"]
    answers[10] = name

    set_up(desks.answered(*answers))

    assert desks.home.medicines()[0].name == name


def test_without_a_medicine_its_file_shows_the_lines_to_fill(desks: Desks):
    set_up(desks.answered(*KIT, "no"))

    assert desks.home.holding().medicines == ()
    text = desks.home.medicines_file.read_text("utf-8")
    filled = text.replace("# [[", "[[").replace("# name", "name")
    for key in ("active", "dose", "dilution", "form", "route", "source", "spoken"):
        filled = filled.replace(f"# {key} =", f"{key} =")
    desks.home.medicines_file.write_text(filled, "utf-8")
    assert desks.home.medicines()[0].name == "a name"


def test_setup_neither_asks_about_nor_touches_a_file_that_is_there(desks: Desks, home: Path):
    set_up(desks.answered(*KIT, *MEDICINE, "no"))
    (home / "kit.toml").unlink()
    before = contents(home)

    written = set_up(desks.answered("Bea", *KIT[1:]))

    assert [path.name for path in written] == ["kit.toml"]
    assert desks.home.kit().keeper == "Bea"
    assert {name: text for name, text in contents(home).items() if name != "kit.toml"} == before


def test_a_home_that_is_set_up_is_asked_nothing(desks: Desks, home: Path):
    make_demo(desks.home)
    before = contents(home)

    assert set_up(desks.answered()) == ()
    assert "set up already" in desks.keeper.heard
    assert contents(home) == before


def test_the_templates_for_own_birds_can_be_used(home: Path):
    make_demo(Home(home))
    birds = Home(home).birds_file
    lines = birds.read_text("utf-8").splitlines()
    start = next(at for at, line in enumerate(lines) if line.startswith("# [[species]]"))
    own = [line.removeprefix("# ") for line in lines[start:]]
    birds.write_text("\n".join([*lines[:start], *own]), "utf-8")

    species = Home(home).aviary().species("Demo parakeet")
    assert species.low_g == 40
    assert species.high_g == 60
    assert species not in species_table()


def test_a_folder_that_takes_no_file_is_told(tmp_path: Path, desks: Desks):
    limit = os.pathconf(tmp_path, "PC_NAME_MAX")
    desks.home = Home(tmp_path / ("x" * (limit + 1)))

    with pytest.raises((PartMissing, DataProblem), match="cannot be made"):
        set_up(desks.answered(*KIT, *MEDICINE, "no"))


def test_an_attention_word_is_kept_as_it_is_said(desks: Desks):
    answers = [*KIT, *MEDICINE, "no"]
    answers[3] = "Marlow"

    set_up(desks.answered(*answers))

    assert desks.home.kit().attention == "marlow"
