from __future__ import annotations

import os
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.adapters.home.folder import Home, locate, species_table
from assistant.adapters.home.setting_up import make_demo
from assistant.errors import DataProblem, PartMissing


@pytest.fixture
def demo(home: Path) -> Home:
    """The demo's home."""
    made = Home(home)
    make_demo(made)
    return made


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")


def test_the_folder_given_wins_over_the_variable_and_that_over_the_users_own():
    variable = {"DOSEWREN_HOME": "/from/variable"}

    assert locate("/given", variable) == Home(Path("/given"))
    assert locate(None, variable) == Home(Path("/from/variable"))
    assert locate(None, {}) == Home(Path("~").expanduser() / ".dosewren")
    assert locate(None, {"DOSEWREN_HOME": ""}) == Home(Path("~").expanduser() / ".dosewren")
    assert locate(Path("~/birds"), {}) == Home(Path("~").expanduser() / "birds")


def test_a_missing_home_says_how_to_make_one(home: Path):
    with pytest.raises(PartMissing) as caught:
        Home(home).holding()

    assert str(home) in caught.value.problem
    assert "dosewren setup" in caught.value.remedy
    assert "dosewren setup --demo" in caught.value.remedy
    assert caught.value.exit_code == 5


@pytest.mark.parametrize("name", ["medicines.toml", "kit.toml"])
def test_a_missing_file_is_a_missing_part_with_the_same_remedy(demo: Home, name: str):
    (demo.path / name).unlink()

    with pytest.raises(PartMissing, match=name) as caught:
        demo.holding()

    assert "dosewren setup" in caught.value.remedy


def test_a_keeper_needs_no_birds_of_their_own(demo: Home):
    demo.birds_file.unlink()

    assert demo.holding().aviary.species_list == species_table()


def test_the_files_become_one_holding(demo: Home):
    holding = demo.holding()

    assert [one.name for one in holding.medicines] == ["Marigold Demo", "Thistle Demo"]
    assert [one.capacity_ml for one in holding.kit.syringes] == [1, Decimal("2.5"), 5, 10]
    assert [one.name for one in holding.aviary.birds] == ["Pepper", "Saffron"]
    assert holding.usual_medicine == holding.medicine("marigold")
    assert holding.medicine("nothing") is None


def test_without_a_default_one_medicine_is_the_usual_one_and_of_two_none_is(demo: Home):
    edit(demo.kit_file, 'medicine = "Marigold Demo"', "")
    assert demo.holding().usual_medicine is None

    text = demo.medicines_file.read_text("utf-8")
    demo.medicines_file.write_text(text[: text.rindex("[[medicine]]")], "utf-8")
    assert demo.holding().usual_medicine == demo.holding().medicine("Marigold Demo")


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ('[[medicine]]\nname = "x\n', "line 2, column 10"),
        ("[[medicine]]\nname = x\n", "line 2, column 8"),
        ("[[medicine]]\n\ndose == 1\n", "line 3, column 7"),
        ("[[medicine]]\nspoken = [", "line 2, column 11"),
        ("[[medicine]]\nname = 'a'\nname = 'b'\n", "line 3, column 11"),
    ],
)
def test_broken_toml_is_told_with_file_line_and_column(demo: Home, text: str, place: str):
    demo.medicines_file.write_text(text, "utf-8")

    with pytest.raises(DataProblem) as caught:
        demo.holding()

    assert f"{demo.medicines_file}, {place}: " in caught.value.problem
    assert caught.value.remedy
    assert caught.value.exit_code == 3


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 100_000,
        "a = " + "9" * 5000,
        "a = 1e999999999",
        "a = 1.5e99999999999999999999999",
        "a = 0." + "0" * 50 + "1",
    ],
    ids=["nested", "long", "huge", "beyond", "tiny"],
)
def test_a_file_made_to_choke_on_is_refused(demo: Home, text: str):
    demo.medicines_file.write_text(text, "utf-8")

    with pytest.raises(DataProblem, match=r"medicines\.toml"):
        demo.holding()


def test_a_file_in_another_encoding_is_told_with_its_place(demo: Home):
    demo.kit_file.write_bytes(b'keeper = "a"\n# \xc3\xa9 caf\xe9\n')

    with pytest.raises(DataProblem, match=r"kit\.toml, line 2, column 8: this is not UTF-8"):
        demo.holding()


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(demo: Home):
    for path in (demo.medicines_file, demo.kit_file, demo.birds_file):
        text = path.read_text("utf-8").replace("\n", "\r\n")
        path.write_bytes(b"\xef\xbb\xbf" + text.encode("utf-8"))

    assert all(one.is_confirmed for one in demo.holding().medicines)


def test_a_file_beyond_all_size_is_not_read(demo: Home):
    demo.birds_file.write_text("#" * 1_000_001, "utf-8")

    with pytest.raises(DataProblem, match="larger than 1,000,000 bytes"):
        demo.holding()


def test_what_is_no_file_is_not_read(demo: Home):
    demo.birds_file.unlink()
    os.mkfifo(demo.birds_file)

    with pytest.raises(DataProblem, match="is not a file"):
        demo.holding()


@pytest.mark.parametrize(
    ("name", "old", "new", "near"),
    [
        ("medicines.toml", "safety_multiple", "saftey_multiple", "safety_multiple"),
        ("medicines.toml", "\ndose =", "\ndosis =", "dose"),
        ("medicines.toml", "\n[[medicine]]", "\n[[medicne]]", "medicine"),
        ("kit.toml", "scale_step", "scale_stop", "scale_step"),
        ("birds.toml", "ring =", "rign =", "ring"),
    ],
)
def test_an_unknown_key_is_told_with_the_nearest_known_one(
    demo: Home, name: str, old: str, new: str, near: str
):
    edit(demo.path / name, old, new)

    with pytest.raises(DataProblem, match=new.strip("[]= \n")) as caught:
        demo.holding()

    assert name in caught.value.problem
    assert f"“{near}”" in caught.value.remedy


def test_every_wrong_figure_of_every_file_is_told_at_once(demo: Home):
    edit(demo.medicines_file, '\ndose = "0.5 mL/kg"', '\ndose = "0.5"')
    edit(demo.medicines_file, '\ndose = "20 mg/kg"', '\ndose = "20 drops/kg"')
    edit(demo.kit_file, '"1 g"', '"one"')
    edit(demo.birds_file, 'species = "Budgerigar"', 'species = "Budgerigarr"')

    with pytest.raises(DataProblem) as caught:
        demo.holding()

    told = caught.value.problem.splitlines()
    assert [Path(line.split(",")[0]).name for line in told] == [
        "kit.toml",
        "medicines.toml",
        "medicines.toml",
        "birds.toml",
    ]
    assert "Marigold Demo" in told[1]
    assert "Thistle Demo" in told[2]


def test_two_medicines_may_not_share_a_name(demo: Home):
    edit(demo.medicines_file, '"thistle", "thistle demo"', '"thistle", "Marigold"')

    with pytest.raises(DataProblem, match="the name “marigold” belongs to Marigold Demo already"):
        demo.holding()


def test_a_default_medicine_that_is_not_there_is_told_with_the_nearest(demo: Home):
    edit(demo.kit_file, '"Marigold Demo"', '"Marygold Demo"')

    with pytest.raises(DataProblem, match="no medicine “Marygold Demo”") as caught:
        demo.holding()

    assert "Marigold Demo" in caught.value.remedy


def test_a_caution_for_a_bird_that_nobody_knows_is_told(demo: Home):
    edit(demo.medicines_file, "cautions = []", 'cautions = [{ for = "pidgin", say = "no" }]')

    with pytest.raises(DataProblem, match="“pidgin”"):
        demo.holding()
