"""The readers of a keeper's files at their edges: what to write instead, and sizes below one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.cautions import unmatched_cautions
from assistant.dosing.dilution import Dilution
from assistant.dosing.kit import read_kit
from assistant.dosing.label import Caution, Form, LabelDose, Permissions
from assistant.dosing.measures import Liquid, Pot, Pump
from assistant.dosing.medicine import read_medicine
from assistant.dosing.needle import Needle
from assistant.dosing.needle_advice import EYE, advise
from assistant.dosing.quantities import Kind
from assistant.dosing.species import Species, read_birds
from assistant.dosing.syringe import Fitting, Syringe
from assistant.dosing.tables import FigureProblems, Problem, Table, nearest, present
from tests.dosing_scene import MARIGOLD, medicine, species
from tests.unit.test_dosing_words_and_figures import PLAIN

Read = Callable[[Table], object]


def of_kit(**changes: object) -> Problem:
    """The one thing wrong with a plain kit so changed."""
    with pytest.raises(FigureProblems) as caught:
        read_kit({**PLAIN, **changes}, "kit.toml")
    [problem] = caught.value.problems
    return problem


def of_medicine(**changes: object) -> Problem:
    """The one thing wrong with the invented medicine so changed."""
    with pytest.raises(FigureProblems) as caught:
        read_medicine({**MARIGOLD, **changes}, "medicines.toml")
    [problem] = caught.value.problems
    return problem


def of_birds(**tables: object) -> Problem:
    """The one thing wrong with these birds, beside one species of the table."""
    with pytest.raises(FigureProblems) as caught:
        read_birds(tables, (species(),), "birds.toml")
    [problem] = caught.value.problems
    return problem


@pytest.mark.parametrize(
    ("read", "value", "taken", "what", "remedy"),
    [
        (lambda t: t.text("k"), " ", None, "“ ” is not a text",
         "Write it between quotation marks."),
        (lambda t: t.texts("k"), "one", (), "“one” is not a list of texts",
         'Write ["one", "two"].'),
        (lambda t: t.texts("k"), ["one", " "], (), "“['one', ' ']” is not a list of texts",
         'Write ["one", "two"].'),
        (lambda t: t.choice("k", Form, Form.SOLUTION), 3, Form.SOLUTION,
         "“3” is not a word that can stand here", 'Write "suspension" or "solution".'),
        (lambda t: t.flag("k"), 1, False, "“1” is neither true nor false",
         "Write true or false."),
        (lambda t: t.number("k"), 0, None, "“0” is not a number above zero", ""),
        (lambda t: t.number("k", zero=True), -1, None, "“-1” is not a number zero or above", ""),
        (lambda t: t.number("k"), "3", None, "“3” is not a number above zero", ""),
        (lambda t: t.number("k"), True, None, "“True” is not a number above zero", ""),
        (lambda t: t.whole("k"), 1.5, None, "“1.5” is not a whole number", ""),
        (lambda t: t.size("k", Kind.MASS), 3, None, "“3” has no unit",
         'Write it with its unit, as in k = "62 g".'),
        (lambda t: t.amount("k", Kind.VOLUME_DOSE, Kind.MASS_DOSE), 3, None, "“3” has no unit",
         'Write it with its unit, as in k = "0.5 mL/kg".'),
        (lambda t: t.size("k", Kind.MASS), "3 cc", None,
         "“3 cc” is not a weight such as 62 g: write mL, not cc", ""),
        (lambda t: t.inner("k"), [], None, "“[]” is not a table", ""),
        (lambda t: t.rows("k"), [3], (), "“[3]” is not a list of tables", "Write [[k]]."),
    ],
)  # fmt: skip
def test_a_wrong_value_is_told_with_what_to_write(
    read: Read, value: object, taken: object, what: str, remedy: str
):
    table = Table({"k": value}, "a.toml")
    assert read(table) == taken
    assert table.problems == [Problem("a.toml, k", what, remedy)]


def test_problems_are_told_line_by_line_each_with_one_full_stop():
    found = FigureProblems([Problem("a", "b."), Problem("c", "d", "E."), Problem("f", "g", "H.")])
    assert (found.problem, found.remedy) == ("a: b.\nc: d.\nf: g.", "E.\nH.")


def test_a_word_is_near_to_another_from_three_fifths_alike_on():
    assert nearest("abcde", ["abcxy"]) == "abcxy"
    assert nearest("a" * 16 + "b" * 11, ["a" * 16 + "c" * 11]) is None


@pytest.mark.parametrize("default", [True, False])
def test_a_wrong_flag_counts_as_left_out(default: bool):  # noqa: FBT001 - the value itself
    assert Table({"k": "yes"}, "a.toml").flag("k", default=default) is default
    assert Table({}, "a.toml").flag("k", default=default) is default


def test_what_was_proved_to_be_there_must_be_there():
    assert present(0) == 0
    with pytest.raises(TypeError, match="missing without a problem"):
        present(None)


@pytest.mark.parametrize(
    ("problem", "place", "remedy"),
    [
        (lambda: of_kit(talk={"answers": "long"}), "talk, answers", 'Write "short" or "full".'),
        (lambda: of_kit(needle=[{"gauge": 14, "length": "75 mm", "name": "n 14"}]),
         "needle 1, name", "Use one or two words of plain letters, such as long."),
        (lambda: of_kit(attention="joe"), "attention",
         "Use one or two words of plain letters, four or more in all, such as marlow."),
        (lambda: of_kit(syringe=[{"capacity": "U-100", "graduation": "1 mL"}]),
         "syringe 1, capacity", "Use a syringe marked in mL."),
        (lambda: of_kit(needle=[{"gauge": 14, "length": "75 mm", "default": True}] * 2),
         "needle", "Mark only one of them."),
        (lambda: of_medicine(dilution="1:10"), "dilution",
         "Write dilution = { product = 1, water = 9 } or { product = 1, water = 10 }."),
        (lambda: of_birds(bird=[{"name": "Pip", "species": "Quetzalcoatl"}]), "bird 1, species",
         "Add it under [[species]] first."),
        (lambda: of_birds(bird=[{"name": "Pip", "species": "tester", "kage": 3}]), "bird 1, kage",
         "Did you mean “cage”?"),
        (lambda: of_birds(bird=[{"name": "Pip", "species": "test birt"}]), "bird 1, species",
         "Did you mean “Test bird”?"),
    ],
)  # fmt: skip
def test_what_to_write_is_told_at_its_place(
    problem: Callable[[], Problem], place: str, remedy: str
):
    found = problem()
    assert (found.place.partition(", ")[2], found.remedy) == (place, remedy)


@pytest.mark.parametrize(
    "problem",
    [
        lambda: of_kit(needle=[{"gauge": 6, "length": "75 mm"}]),
        lambda: of_kit(syringe=[{"capacity": "1 mL", "graduation": "0.3 mL"}]),
        lambda: of_kit(pot=[{"capacity": "1 mL", "graduation": "0.3 mL"}]),
        lambda: of_kit(scale_step="1 mL"),
        lambda: of_medicine(dilution="1:10"),
        lambda: of_medicine(dilution="a lot"),
        lambda: of_medicine(dilution=3),
        lambda: of_medicine(weaker_dilutions=["a lot"]),
    ],
)
def test_what_is_wrong_is_kept_without_its_full_stop(problem: Callable[[], Problem]):
    assert not problem().what.endswith(".")


@pytest.mark.parametrize(
    ("key", "row"),
    [
        ("pump", {"stroke": "2 mL", "of": "water", "colour": "red"}),
        ("pot", {"capacity": "1 L", "colour": "red"}),
        ("syringe", {"capacity": "1 mL", "graduation": "0.01 mL", "colour": "red"}),
        ("needle", {"gauge": 14, "length": "75 mm", "colour": "red"}),
    ],
)
def test_a_key_that_is_not_known_is_told_with_those_that_are(key: str, row: dict[str, object]):
    found = of_kit(**{key: [row]})
    assert (found.place, found.what) == (
        f"kit.toml, {key} 1, colour", "the key “colour” is not known"
    )  # fmt: skip
    known = [one for one in row if one != "colour"]
    assert found.remedy.startswith(f"Keys: {', '.join(known)}")


@pytest.mark.parametrize(
    ("problem", "place"),
    [
        (lambda: of_kit(needle=[{"length": "75 mm"}]), "needle 1, gauge"),
        (lambda: of_kit(needle=[{"gauge": 14}]), "needle 1, length"),
        (lambda: of_medicine(dilution={"water": 9}), "dilution, product"),
        (lambda: of_medicine(dilution={"product": 1}), "dilution, water"),
    ],
)
def test_a_part_that_is_missing_is_named(problem: Callable[[], Problem], place: str):
    found = problem()
    assert (found.place.partition(", ")[2], found.what) == (place, "is missing")


def test_parts_of_a_medicine_have_the_keys_that_are_known():
    caution = of_medicine(cautions=[{"for": "finch", "say": "Slowly.", "width": 3}])
    assert (caution.place, caution.remedy) == (
        "medicines.toml, cautions 1, width", "Keys: for, say, refuse."
    )  # fmt: skip
    band = of_medicine(banding={"step_g": 50, "colour": "red"})
    assert (band.place, band.remedy) == (
        "medicines.toml, banding, colour", "Keys: step_g, cap_percent."
    )  # fmt: skip
    wide = of_medicine(banding={"step_g": 50, "cap_percent": 51})
    assert (wide.place, wide.what) == (
        "medicines.toml, banding, cap_percent", "51 is more than 50 % over the label"
    )  # fmt: skip


def test_whether_a_needle_is_the_default_is_true_or_false():
    found = of_kit(needle=[{"gauge": 14, "length": "75 mm", "default": 1}])
    assert (found.place, found.remedy) == ("kit.toml, needle 1, default", "Write true or false.")


def test_what_is_kept_of_what_was_heard_is_read_by_its_keys():
    kit = read_kit({**PLAIN, "keep_recordings": True, "recordings_mb": 50}, "kit.toml")
    assert (kit.keep_recordings, kit.recordings_mb) == (True, 50)


@pytest.mark.parametrize("key", ["name", "low", "high"])
def test_a_species_of_ones_own_needs_a_name_and_both_ends_of_its_range(key: str):
    row = {"name": "Keet", "low": "30 g", "high": "60 g"}
    found = of_birds(species=[{name: value for name, value in row.items() if name != key}])
    assert (found.place, found.what) == (f"birds.toml, species 1, {key}", "is missing")


def test_a_species_may_have_one_weight_and_has_no_mean():
    one = {"name": "Keet", "low": "30 g", "high": "30 g"}
    keet = read_birds({"species": [one]}, (), "birds.toml").species("Keet")
    assert keet.low_g == keet.high_g == 30
    assert (keet.mean_g, keet.mean_source) == (None, "")


def test_a_name_of_several_species_is_told_with_all_of_them():
    two = (replace(species(), name="Red keet", aliases=("keet",)),
           replace(species(), name="Grey keet", aliases=("keet",)))  # fmt: skip
    told = {}
    for word in ("keet", "keett"):
        with pytest.raises(FigureProblems) as caught:
            read_birds({"bird": [{"name": "Pip", "species": word}]}, two, "birds.toml")
        told[word] = caught.value.remedy
    assert told == {
        "keet": "Write one: Red keet, Grey keet.", "keett": "Did you mean “Red keet, Grey keet”?"
    }  # fmt: skip


def test_a_bird_is_read_by_its_keys():
    pip = {"name": "Pip", "aliases": ["old pip"], "ring": "A 1", "species": "test bird",
           "cage": 3, "sex": "female"}  # fmt: skip
    [bird] = read_birds({"bird": [pip]}, (species(),), "birds.toml").birds
    assert (bird.name, bird.aliases, bird.ring, bird.species) == (
        "Pip", ("old pip",), "A 1", "Test bird"
    )  # fmt: skip
    assert (bird.cage, bird.sex) == ("3", "female")


def test_a_caution_for_no_bird_is_told_with_the_names_that_there_are():
    told = replace(medicine(), cautions=(Caution("dodo", "Slowly."),))
    [problem] = unmatched_cautions(told, (species(),), "m")
    assert problem == Problem(
        "m, cautions",
        "no bird here is called “dodo”, so this caution would never be heard",
        "Write a species or a group of the table, such as pigeon, parrot or finch; or chicks, "
        "ill birds, breeding birds or moulting birds.",
    )


def test_sizes_below_one_are_sizes():
    assert Pump(Decimal("0.5"), Liquid.WATER).name == "pump of 0.5 mL a stroke"
    assert Pot(Decimal("0.5"), Decimal("0.1")).name == "0.5 mL pot"
    assert Syringe(Decimal("0.5"), Decimal("0.01")).fitting is Fitting.UNKNOWN
    assert Needle(14, Decimal("0.5"), Decimal(0)).dead_ml == Decimal("0.0010")
    assert Needle(14, Decimal(75), measured_ml=Decimal("0.5")).dead_ml == Decimal("0.5")


@pytest.mark.parametrize(
    ("product", "water", "short"),
    [("2", "1", "1 in 1.5"), ("8", "1", "8 in 9"), ("1", "0.01", "1 in 1.01")],
)  # fmt: skip
def test_one_in_so_many_is_said_to_two_decimals_at_most(product: str, water: str, short: str):
    assert Dilution(Decimal(product), Decimal(water)).short == short


def parrot(low: str, high: str, mean: str | None = None) -> Species:
    """An invented parrot of so many grams."""
    return replace(
        species(low, high), group="small parrot", mean_g=None if mean is None else Decimal(mean)
    )


def test_without_a_weight_the_needle_goes_by_the_mean_or_the_middle_of_the_range():
    # LafeberVet, "Tube Feeding Birds": 14 to 16 for a budgerigar, 12 to 14 for a cockatiel
    said = [
        advise(one) for one in (parrot("20", "60"), parrot("22", "60"), parrot("90", "99", "40"))
    ]
    assert [one and one.said for one in said] == [
        "14 to 16 gauge",
        "12 to 14 gauge",
        "14 to 16 gauge",
    ]
    # none weighs more than 10 kg
    assert [advise(parrot(grams, grams)) is None for grams in ("10000", "10001")] == [False, True]
    assert EYE == "A vet's or an experienced keeper's eye decides."


def test_one_dose_needs_no_window_for_the_next():
    assert read_medicine({**MARIGOLD, "course_doses": 1}, "m").interval is None


def test_nothing_is_permitted_and_no_dose_a_maximum_that_no_file_says_so_of():
    assert not LabelDose("0.5 mL/kg", Fraction("0.5")).is_maximum
    assert (
        Permissions() == medicine().permits == Permissions(young=False, same_day_as=(), weaker=())
    )


def test_who_confirmed_must_be_told_beside_the_day():
    nameless = {**MARIGOLD, "confirmed_on": "2025-03-31", "confirmed_figures": medicine().figures}
    assert read_medicine(nameless, "m").confirmation is None
    named = read_medicine({**nameless, "confirmed_by": "Demo Keeper"}, "m")
    assert named.is_confirmed
    undated = {key: value for key, value in nameless.items() if key != "confirmed_on"}
    assert read_medicine({**undated, "confirmed_by": "Demo Keeper"}, "m").confirmation is None
