from __future__ import annotations

from collections import Counter
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.dosing.names import fold
from assistant.dosing.species import (
    Aviary,
    Bird,
    Crop,
    Plausibility,
    Species,
    crop_limit_ml,
    read_birds,
    read_species_csv,
)
from assistant.dosing.tables import FigureProblems

TABLE = Path(__file__).parents[2] / "assistant" / "data" / "species.csv"
SPECIES = read_species_csv(TABLE.read_text(encoding="utf-8"))
AVIARY = Aviary(SPECIES)


def names(found: tuple[Species | Bird, ...]) -> list[str]:
    return [one.name for one in found]


def test_the_table_holds_seventy_species_each_once():
    assert len(SPECIES) == 70
    assert max(Counter(fold(one.name) for one in SPECIES).values()) == 1
    assert max(Counter(one.scientific for one in SPECIES).values()) == 1


def test_every_row_has_a_mean_inside_its_range_and_says_where_both_come_from():
    for one in SPECIES:
        assert one.mean_g is not None
        assert 0 < one.low_g <= one.mean_g <= one.high_g
        assert one.mean_source.startswith("AVONET")
        assert one.range_source
        assert one.range_basis in {"weak list", "derived", "from memory"}


def test_a_derived_range_is_the_mean_less_and_more_a_quarter():
    derived = [one for one in SPECIES if one.range_source.startswith("mean x 0.75 to mean x 1.25")]
    assert len(derived) == 37
    for one in derived:
        assert one.mean_g is not None
        assert abs(one.low_g - one.mean_g * 3 / 4) <= 1
        assert abs(one.high_g - one.mean_g * 5 / 4) <= 1


def test_only_the_softbills_have_an_unknown_crop():
    assert [one.name for one in SPECIES if one.crop is not Crop.TRUE] == [
        "Hill mynah",
        "Common myna",
    ]


def test_the_table_keeps_the_attribution_of_its_source():
    head = TABLE.read_text(encoding="utf-8").split("name,", 1)[0]
    assert "AVONET (Tobias et al. 2022" in head
    assert "CC BY 4.0" in head


@pytest.mark.parametrize(
    ("spoken", "name"),
    [
        ("budgie", "Budgerigar"),
        ("Bourke’s parrot", "Bourke's parrot"),
        ("bourkes parrot", "Bourke's parrot"),
        ("peach faced  LOVEBIRD", "Peach-faced lovebird"),
        ("pigeon", "Pigeon (feral or domestic)"),
        ("chook", "Chicken (bantam)"),
        ("twenty eight parrot", "Australian ringneck"),
    ],
)
def test_a_name_is_found_however_it_is_written(spoken: str, name: str):
    assert names(AVIARY.named(spoken)) == [name]


@pytest.mark.parametrize(
    ("spoken", "count"),
    [
        ("ringneck", 4),
        ("parakeet", 3),
        ("white cockatoo", 2),
        ("rosella", 4),
        ("corella", 3),
        ("quail", 2),
        ("mynah", 2),
        ("conure", 2),
        ("macaw", 5),
        ("dove", 2),
        ("African grey", 2),
    ],
)
def test_a_name_that_covers_several_species_gives_them_all(spoken: str, count: int):
    # the list of such names: from memory; a question can do no harm
    assert len(AVIARY.named(spoken)) == count


def test_an_unknown_name_gives_nothing():
    assert AVIARY.named("dodo") == ()
    assert AVIARY.named("") == ()


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("African grey parrot (Congo)", "Congo African grey parrot"),  # a Timneh is one as well
        ("Pigeon (feral or domestic)", "Pigeon"),
        ("Cockatiel", "Cockatiel"),
    ],
)
def test_the_name_that_is_read_back_tells_the_species_from_all_others(name: str, said: str):
    assert AVIARY.species(name).spoken == said


def test_every_spoken_name_leads_back_to_what_it_names():
    heard = AVIARY.spoken_names
    assert heard["budgie"] == ("Budgerigar",)
    assert heard["fischer's lovebird"] == ("Fischer's lovebird",)
    assert len(heard["ringneck"]) == 4
    for spoken, meant in heard.items():
        assert names(AVIARY.named(spoken)) == list(meant)


@pytest.mark.parametrize(
    ("grams", "verdict"),
    [
        ("17.5", Plausibility.USUAL),
        ("52.5", Plausibility.USUAL),
        ("17.4", Plausibility.ASK),
        ("52.6", Plausibility.ASK),
        ("10", Plausibility.ASK),
        ("105", Plausibility.ASK),
        ("9.9", Plausibility.REFUSE),
        ("105.1", Plausibility.REFUSE),
        ("0", Plausibility.REFUSE),
        ("-30", Plausibility.REFUSE),
        ("NaN", Plausibility.REFUSE),
        ("Infinity", Plausibility.REFUSE),
    ],
)
def test_a_weight_is_judged_by_the_range(grams: str, verdict: Plausibility):
    # budgerigar, 25 to 35 g: asked about outside 17.5 to 52.5, refused outside 10 to 105
    assert AVIARY.species("Budgerigar").judge(Decimal(grams)) is verdict


def test_a_group_and_its_family_count_as_names_for_a_caution():
    galah, finch = AVIARY.species("Galah"), AVIARY.species("Zebra finch")
    assert all(galah.answers_to(name) for name in ("cockatoos", "parrots", "galah", "gala"))
    assert all(finch.answers_to(name) for name in ("finch", "finches", "Taeniopygia guttata"))
    assert not finch.answers_to("parrot")
    assert not galah.answers_to("finch")


def test_a_quarter_of_the_crop_by_weight():
    assert crop_limit_ml(Decimal(80)) == 1


BIRDS = {
    "species": [
        {"name": "Plum-head", "aliases": ["plum"], "low": "60 g", "high": "0.09 kg"},
        {"name": "Budgerigar", "low": "40 g", "high": "60 g", "crop": "true"},
    ],
    "aliases": {"greenie": "Red-rumped parrot", "macaw": "Scarlet macaw"},
    "bird": [
        {"name": "Captain", "ring": "AB-123", "species": "greenie"},
        {"name": "Sunny", "species": "plum"},
    ],
}


def test_the_keepers_own_birds_come_on_top_of_the_table():
    own = read_birds(BIRDS, SPECIES, "birds.toml")
    assert len(own.species_list) == 71
    assert own.species("Plum-head").crop is Crop.UNKNOWN
    assert own.species("Plum-head").high_g == 90
    assert own.species("Budgerigar").low_g == 40
    assert own.birds == (
        Bird("Captain", "Red-rumped parrot", "AB-123"),
        Bird("Sunny", "Plum-head"),
    )


def test_the_keepers_own_names_win_over_the_table():
    own = read_birds(BIRDS, SPECIES, "birds.toml")
    assert names(own.named("macaw")) == ["Scarlet macaw"]
    assert names(own.named("sunny")) == ["Sunny"]
    assert names(own.named("greenie")) == ["Red-rumped parrot"]
    assert own.spoken_names["sunny"] == ("Sunny",)
    assert own.spoken_names["greenie"] == ("Red-rumped parrot",)
    assert own.spoken_names["macaw"] == ("Scarlet macaw",)


@pytest.mark.parametrize("spoken", ["AB-123", "ring ab 123", "captain"])
def test_a_bird_is_found_by_its_ring_or_its_name(spoken: str):
    assert names(read_birds(BIRDS, SPECIES, "birds.toml").named(spoken)) == ["Captain"]


def test_two_birds_of_one_name_are_both_given():
    twins = {"bird": [{"name": "Kiwi", "species": "galah"}, {"name": "kiwi", "species": "budgie"}]}
    assert names(read_birds(twins, SPECIES, "birds.toml").named("Kiwi")) == ["Kiwi", "kiwi"]


@pytest.mark.parametrize(
    ("table", "place", "words"),
    [
        ({"brid": []}, "brid", "not known"),
        ({"bird": [{"name": "A", "species": "galha"}]}, "bird 1, species", "no species here"),
        ({"bird": [{"name": "A", "species": "ringneck"}]}, "bird 1, species", "several species"),
        ({"bird": [{"species": "galah"}]}, "bird 1, name", "is missing"),
        ({"bird": {"name": "A"}}, "bird", "not a list of tables"),
        ({"aliases": {"x": "dodo"}}, "aliases, x", "no species here"),
        ({"aliases": ["x"]}, "aliases", "not a table"),
        ({"species": [{"name": "A", "low": "9 g", "high": "5 g"}]}, "species 1, low", "above"),
        ({"species": [{"name": "A", "low": "9", "high": "9 g"}]}, "species 1, low", "unit"),
        (
            {"species": [{"name": "A", "low": "1 g", "high": "9 g", "crop": "maybe"}]},
            "species 1, crop",
            "not a word that can stand",
        ),
    ],
)
def test_a_wrong_entry_is_told_with_its_place(table: dict[str, object], place: str, words: str):
    with pytest.raises(FigureProblems) as caught:
        read_birds(table, SPECIES, "birds.toml")
    assert [one.place for one in caught.value.problems] == [f"birds.toml, {place}"]
    assert words in caught.value.problems[0].what


def test_a_misspelt_species_gets_the_nearest_one():
    table = {"bird": [{"name": "A", "species": "galha"}]}
    with pytest.raises(FigureProblems) as caught:
        read_birds(table, SPECIES, "birds.toml")
    assert caught.value.remedy == "Did you mean “Galah”?"
