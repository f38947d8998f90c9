from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from assistant.adapters.birds.table import MOST_BIRDS, BirdList, read_bird_list
from assistant.adapters.home.folder import species_table
from assistant.dosing.species import Aviary, Bird
from assistant.dosing.tables import FigureProblems
from assistant.errors import DataProblem, PartMissing

PEPPER = Bird("Pepper", "Cockatiel", "DEMO 12", cage="Lower aviary", sex="male")
AVIARY = Aviary(species_table(), (PEPPER,))
ROOT = Path(__file__).parents[3]


def read(folder: Path, content: str | bytes) -> BirdList:
    path = folder / "birds.csv"
    path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
    return read_bird_list(path, AVIARY)


def problems(folder: Path, content: str | bytes) -> list[tuple[str, str, str]]:
    with pytest.raises(FigureProblems) as caught:
        read(folder, content)
    start = len(f"{folder / 'birds.csv'}, ")
    return [(one.place[start:], one.what, one.remedy) for one in caught.value.problems]


def test_a_plain_list_is_read(tmp_path: Path):
    listed = read(
        tmp_path,
        "species,grams,name,ring,cage,sex\r\n"
        "Cockatiel,95.5,Pip,D 1,Aviary 2,hen\r\n"
        "\r\n"
        "budgies,,,,,\r\n",
    )
    first, second = listed.birds
    assert (first.species.name, first.grams, first.sex) == ("Cockatiel", Decimal("95.5"), "female")
    assert first.said == "Aviary 2, Pip, ring D 1, Cockatiel"
    assert (second.species.name, second.grams, second.called) == ("Budgerigar", None, "")


@pytest.mark.parametrize(
    "content",
    [
        "\ufeffspecies,grams\ncockatiel,95\n",
        "Species;Weight (g)\ncockatiel;95\n",
        "Bird\tMASS\ncockatiel\t0.095 kg\n",
        "SPECIES,weight,notes\ncockatiel,95 g,moults\n",
        "kind,Weight in grams\n\ncockatiel,95",
    ],
)
def test_headers_separators_and_units_are_read_forgivingly(tmp_path: Path, content: str):
    (bird,) = read(tmp_path, content).birds
    assert (bird.species.name, bird.grams) == ("Cockatiel", Decimal(95))


def test_a_column_that_is_left_aside_is_named(tmp_path: Path):
    listed = read(tmp_path, "species,grams,colour,#wieght\ncockatiel,95,grey,96\n")
    assert listed.left_aside == ("colour", "#wieght")


def test_a_bird_of_the_keeper_brings_its_species_and_ring(tmp_path: Path):
    (bird,) = read(tmp_path, "species,grams\nPepper,95\n").birds
    assert bird.said == "Lower aviary, Pepper, ring DEMO 12, Cockatiel"


@pytest.mark.parametrize(
    "row", ["Pepper,cockatiel,,", "pepper,cockatiel,demo 12,", ",tiel,DEMO 12,"]
)
def test_a_bird_of_the_keeper_is_known_by_its_name_and_by_its_ring(tmp_path: Path, row: str):
    (bird,) = read(tmp_path, f"name,species,ring,cage\n{row}\n").birds
    assert (bird.name, bird.cage, bird.sex) == ("Pepper", "Lower aviary", "male")


def test_another_bird_of_a_name_has_a_ring_of_its_own(tmp_path: Path):
    (bird,) = read(tmp_path, "name,species,ring\nPepper,galah,D 99\n").birds
    assert (bird.name, bird.ring, bird.cage) == ("Pepper", "D 99", "")


@pytest.mark.parametrize(
    ("row", "place", "what"),
    [
        ("Pepper,galah,", "row 2, column 1 (name)", "Pepper is a Cockatiel"),
        ("Saffron,cockatiel,DEMO 12", "row 2, column 3 (ring)", "is on Pepper, a Cockatiel"),
    ],
)
def test_a_name_or_ring_of_another_bird_is_told(tmp_path: Path, row: str, place: str, what: str):
    ((where, said, remedy),) = problems(tmp_path, f"name,species,ring\n{row}\n")
    assert where == place
    assert what in said
    assert "correct birds.toml" in remedy


@pytest.mark.parametrize(
    ("row", "place", "what", "remedy"),
    [
        ("ringneck,120,,", "row 3, column 1 (species)", "several birds", "Indian ringneck"),
        ("cockatoil,95,,", "row 3, column 1 (species)", "no bird here", "Cockatiel"),
        (",95,,", "row 3, column 1 (species)", "missing", "cockatiel"),
        ("cockatiel;95;;", "row 3, column 1 (species)", "no bird here", ""),
        ("cockatiel,95 mL,,", "row 3, column 2 (grams)", "another kind", "as in 95"),
        ("cockatiel,ninety,,", "row 3, column 2 (grams)", "not a weight", "plain number"),
        ("cockatiel,-95,,", "row 3, column 2 (grams)", "below zero", "plain number"),
        ("cockatiel,0,,", "row 3, column 2 (grams)", "0 is not a weight", "empty"),
        ('cockatiel,"95,5",,', "row 3, column 2 (grams)", "has a comma", "as in 95.5"),
        ("cockatiel,95,5,D 1,hen", "row 3, column 5", "5 cells under 4", "decimal comma"),
        ("cockatiel,95,,often", "row 3, column 4 (sex)", "is not a sex", "male, female"),
        ("galah,330,DEMO 12,", "row 3, column 3 (ring)", "is on Pepper, a Cockatiel", "Check"),
        ("cockatiel,96,R 1,", "row 3", "stands in row 2 already", "one row for each"),
    ],
)
def test_every_problem_is_told_with_its_row_and_column(
    tmp_path: Path, row: str, place: str, what: str, remedy: str
):
    found = problems(tmp_path, f"species,grams,ring,sex\ncockatiel,95,R 1,\n{row}\n")
    ((where, said, help_),) = found
    assert where == place
    assert what in said
    assert remedy in help_


def test_a_plain_number_under_weight_lacks_its_unit(tmp_path: Path):
    ((where, said, _),) = problems(tmp_path, "species,weight\ncockatiel,95\n")
    assert where == "row 2, column 2 (weight)"
    assert "the unit is missing" in said


def test_all_problems_are_told_at_once_and_long_lists_of_them_cut(tmp_path: Path):
    found = problems(tmp_path, "species,grams\n" + "foo,95\n" * 30)
    assert [where for where, _, _ in found[:2]] == [
        "row 2, column 1 (species)",
        "row 3, column 1 (species)",
    ]
    assert found[-1][1] == "and 10 more like these"


@pytest.mark.parametrize(
    ("header", "what"),
    [
        ("grams,name", "no column “species”"),
        ("species,grams,weight", "two columns for the weight"),
        ("species,grams,ring,band", "two columns for ring"),
        ("species,wieght", "“wieght” is not known"),
    ],
)
def test_a_header_that_may_mislead_is_refused(tmp_path: Path, header: str, what: str):
    ((_, said, _),) = problems(tmp_path, f"{header}\ncockatiel,95\n")
    assert what in said


@pytest.mark.parametrize(
    ("content", "what"),
    [
        ("species,grams\n", "lists no bird"),
        ("", "no column “species”"),
        (b"species\n\xff\xfe\n", "not UTF-8"),
        ('species,name\ncockatiel,"Pip\n', "row 2: a quotation mark"),
        ("species,name\ncockatiel,Pip\x07\n", "cannot be printed"),
        ("species,name\ncockatiel," + "x" * 300, "too long"),
        ("species\n" + "cockatiel\n" * (MOST_BIRDS + 1), "more than 20,000 birds"),
        ("species\n" + "x" * 5_000_001, "larger than 5,000,000 bytes"),
    ],
    ids=str.split("none empty bytes quote bell long many large"),
)
def test_what_is_no_list_is_refused(tmp_path: Path, content: str | bytes, what: str):
    with pytest.raises(DataProblem, match=what):
        read(tmp_path, content)


def test_a_file_that_is_not_there_is_named(tmp_path: Path):
    with pytest.raises(PartMissing, match=r"none\.csv is missing"):
        read_bird_list(tmp_path / "none.csv", AVIARY)


def test_the_list_of_the_demo_is_read():
    listed = read_bird_list(ROOT / "fixtures" / "demo" / "round.csv", AVIARY)
    assert len(listed.birds) == 18
    assert {bird.cage for bird in listed.birds} == {"Lower aviary", "Small flight", "Upper aviary"}
