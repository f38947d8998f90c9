"""What the readers of a keeper's files make of each value, and what they leave out."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.kit import read_kit
from assistant.dosing.label import Banding
from assistant.dosing.medicine import read_medicine
from assistant.dosing.names import fold, spoken_form
from assistant.dosing.needle import Needle, mistakes
from assistant.dosing.needle_advice import NeedleAdvice, advise
from assistant.dosing.quantities import Kind, QuantityProblem, decimal_text, parse
from assistant.dosing.species import Aviary, read_birds
from assistant.dosing.syringe import Syringe
from assistant.dosing.tables import FigureProblems, shown
from assistant.dosing.talking import TalkSettings
from tests.dosing_scene import MARIGOLD, NEEDLE, medicine, species
from tests.unit.test_dosing_words_and_figures import PLAIN


def talk(**settings: object) -> TalkSettings:
    return read_kit({**PLAIN, "talk": settings}, "kit.toml").talk


def test_how_it_talks_is_read_by_its_keys():
    assert talk() == TalkSettings() == TalkSettings(short=False, tones=True, headset=False)
    told = talk(answers="short", tones=False, headset=True, microphone="2", speaker="desk")
    assert told == TalkSettings(
        short=True, tones=False, headset=True, microphone="2", speaker="desk"
    )
    assert talk(answers="full").short is False


@pytest.mark.parametrize("wrong", [{"answers": "long"}, {"volume": 3}])
def test_no_other_way_to_talk_is_taken(wrong: dict[str, object]):
    with pytest.raises(FigureProblems) as caught:
        talk(**wrong)
    assert [one.place for one in caught.value.problems] == [f"kit.toml, talk, {next(iter(wrong))}"]


@pytest.mark.parametrize(
    ("grams", "gauges", "length"),
    [
        ("40", "14 to 16 gauge", 50), ("40.1", "12 to 14 gauge", 75), ("100", "12 to 14 gauge", 75),
        ("100.1", "10 to 12 gauge", 75), ("250", "10 to 12 gauge", 75),
        ("250.1", "8 to 10 gauge", 100),
    ],
)  # fmt: skip
def test_a_parrots_needle_goes_by_its_weight(grams: str, gauges: str, length: int):
    parrot = read_birds(
        {"species": [{"name": "Keet", "group": "small parrot", "low": "30 g", "high": "60 g"}]},
        (), "birds.toml",
    ).species("Keet")  # fmt: skip
    found = advise(parrot, Decimal(grams))
    assert found is not None
    assert (found.said, found.length_mm) == (gauges, Decimal(length))


def test_the_usual_gauges_include_both_ends():
    usual = advise(species())
    assert usual == NeedleAdvice(16, 18, Decimal(50))
    fits = [usual.fits(Needle(gauge, Decimal(50))) for gauge in (15, 16, 17, 18, 19)]
    assert fits == [False, True, True, True, False]


def test_each_mistake_has_its_name_and_its_side():
    dry, full, rinsed = mistakes(Decimal(50), NEEDLE)
    assert dry.said.startswith("Needle dry and not primed: about 49.8 mL reaches the bird, 0.4 %")
    assert dry.said.endswith("too little.")
    assert full.said.startswith("Needle full, and filled past the mark again: ")
    assert full.said.endswith("0.4 % too much.")
    assert rinsed.said.startswith("Needle rinsed and still full of water: ")


def test_a_band_may_be_off_by_fifteen_percent_unless_the_file_says_so():
    assert medicine(banding={"step_g": 50}).banding == Banding(Decimal(50), Decimal(15))
    assert medicine(banding={"step_g": 50, "cap_percent": 50}).banding is not None
    assert Banding(Decimal(50)).cap_percent == Decimal(15)


def test_a_suspension_is_shaken_unless_the_file_says_not():
    assert medicine().is_shaken
    assert not medicine(shake=False).is_shaken
    assert not medicine(form="solution").is_shaken
    assert medicine(form="solution", shake=True).is_shaken


def test_a_medicine_may_have_no_margin_at_all():
    assert medicine(safety_multiple=1).safety_multiple == 1


@pytest.mark.parametrize("value", [Decimal(0), Decimal("-0"), Fraction(0), Decimal("-0.00")])
def test_nought_is_written_without_a_sign(value: Decimal | Fraction):
    assert decimal_text(value) == "0"


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        (Kind.MASS, "a weight such as 62 g"), (Kind.VOLUME, "a volume such as 0.5 mL"),
        (Kind.LENGTH, "a length such as 75 mm"),
        (Kind.CONCENTRATION, "a strength such as 25 mg/mL"),
        (Kind.VOLUME_DOSE, "a dose by volume such as 0.5 mL/kg"),
        (Kind.MASS_DOSE, "a dose by weight of active such as 20 mg/kg"),
    ],
)  # fmt: skip
def test_what_was_expected_is_told_with_an_example(kind: Kind, said: str):
    with pytest.raises(QuantityProblem, match=f"“” is not {said}: it is empty.$"):
        parse("", kind)


def test_eighty_letters_are_the_longest_amount():
    for length, reason in ((80, "it needs a plain number and a unit"), (81, "it is too long")):
        with pytest.raises(QuantityProblem, match=f"{reason}.$") as caught:
            parse("x" * length, Kind.MASS)
        assert ("…" in str(caught.value)) is (length > 80)
    with pytest.raises(QuantityProblem, match="is not a unit known here"):
        parse("5 " + "x" * 78, Kind.MASS)
    assert (shown("y" * 40), shown("y" * 41)) == ("“" + "y" * 40 + "”", "“" + "y" * 40 + "…”")


def test_a_curly_apostrophe_is_a_plain_one():
    assert spoken_form("Pip’s  Old-Grey (f)") == "pip's old grey"
    assert (fold("Pip’s"), fold("St.Pip")) == ("pips", "st pip")


def test_a_syringe_below_5_ml_errs_by_the_small_ones_shares():
    # ISO 7886-1:1993 table 1, from memory: 5 % of what is expelled, from half its capacity on
    small = Syringe(Decimal("4.5"), Decimal("0.1"))
    assert small.tolerance_ml(Decimal("4.5")) == Decimal("0.225")
    assert Syringe(Decimal(5), Decimal("0.2")).tolerance_ml(Decimal(5)) == Decimal("0.2")


OWN = {"name": "Keet", "scientific": "Avis nova", "group": "lory", "low": "30 g", "high": "60 g"}


def test_a_species_of_the_keepers_own_is_read_by_its_keys():
    aviary = read_birds({"species": [OWN]}, (), "birds.toml")
    keet = aviary.species("Keet")
    assert (keet.scientific, keet.group) == ("Avis nova", "lory")
    assert (keet.range_source, keet.range_basis) == ("the keeper", "keeper")
    bare = read_birds({"species": [{k: OWN[k] for k in ("name", "low", "high")}]}, (), "b")
    assert (bare.species("Keet").scientific, bare.species("Keet").group) == ("", "")
    with pytest.raises(KeyError):
        Aviary(()).species("Keet")


@pytest.mark.parametrize(
    ("table", "where"),
    [
        ({"species": [{**OWN, "colour": "red"}]}, "birds.toml, species 1, colour"),
        ({"bird": [{"name": "Pip", "species": "Dodo"}]}, "birds.toml, bird 1, species"),
        ({"bird": [{"name": "Pip"}]}, "birds.toml, bird 1, species"),
        ({"bird": "Pip"}, "birds.toml, bird"),
        ({"bird": ["Pip"]}, "birds.toml, bird"),
    ],
)
def test_what_is_wrong_with_a_bird_is_told_once(table: dict[str, object], where: str):
    with pytest.raises(FigureProblems) as caught:
        read_birds(table, (), "birds.toml")
    assert [one.place for one in caught.value.problems] == [where]


def test_a_course_needs_its_window():
    with pytest.raises(FigureProblems) as caught:
        read_medicine({**MARIGOLD, "course_doses": 2}, "m")
    assert [one.place for one in caught.value.problems] == ["m, next_dose_days"]


def test_a_problem_without_a_remedy_of_its_own_still_says_what_to_do():
    with pytest.raises(FigureProblems) as caught:
        read_kit({**PLAIN, "syringe": [{"capacity": "0 mL", "graduation": "0.01 mL"}]}, "kit.toml")
    assert "zero is not an amount" in caught.value.problem
    assert caught.value.remedy == "Correct it there, then try again."


def test_what_is_shown_of_a_value_can_be_printed():
    assert shown("Sorrel\0\x1b[2J") == "“Sorrel��[2J”"
    assert shown("long " * 20) == f"“{'long ' * 8}…”"
