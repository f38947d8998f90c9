"""The twenty phrases, and what is said of those that were not heard as they were read."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.adapters.home.folder import species_table
from assistant.conversation.turn import Status
from assistant.dosing.species import Aviary, Bird, Plausibility, Species, read_birds
from assistant.hearing.choosing import Fate
from assistant.hearing.enrolment import COUNT, Answer, ToRead, own_names, phrases, trouble
from assistant.language.numerals import DIGITS
from assistant.language.requests import DoseWanted, Weight
from tests.talk_scene import Talk, demo_holding, setting

OWN = {
    "aliases": {"old grey": "Galah"},
    "bird": [{"name": "Pip", "species": "Cockatiel"}],
    "species": [
        {
            "name": "Invented keet",
            "aliases": ["keety"],
            "group": "small parrot",
            "low": "40 g",
            "high": "60 g",
            "crop": "true",
        }
    ],
}


def own_aviary() -> Aviary:
    return read_birds(OWN, species_table(), "birds.toml")


def species_of(phrase: ToRead, aviary: Aviary) -> Species:
    (one,) = aviary.named(phrase.name)
    return aviary.species(one.species) if isinstance(one, Bird) else one


@pytest.mark.parametrize("aviary", [own_aviary(), Aviary(species_table())], ids=["own", "table"])
def test_twenty_phrases_hold_every_figure_and_every_teen_with_its_tens(aviary: Aviary):
    found = phrases(aviary)
    assert len(found) == COUNT
    spoken = {word for one in found if one.figures for word in one.number.split()}
    assert spoken == {"zero", *DIGITS}
    ends = {one.grams % 100 for one in found}
    assert ends >= {*range(13, 20), *range(30, 91, 10)}
    assert phrases(aviary) == found


def test_every_weight_is_a_usual_one_for_its_bird():
    aviary = own_aviary()
    judged = {species_of(one, aviary).judge(Decimal(one.grams)) for one in phrases(aviary)}
    assert judged == {Plausibility.USUAL}


def test_the_keepers_own_names_are_read():
    aviary = own_aviary()
    own = {name.lower() for name, _ in own_names(aviary)}
    assert own == {"pip", "old grey", "invented keet", "keety"}
    assert own <= {one.name for one in phrases(aviary)}


def test_no_name_is_read_more_often_than_it_must_be():
    names = [one.name for one in phrases(own_aviary())]
    assert max(map(names.count, names)) <= 4


def test_typing_a_phrase_is_answered_at_once():
    for one in phrases(demo_holding().aviary):
        turn = Talk(setting(one_shot=True)).say(one.text)
        assert turn.status is Status.ANSWERED, one.text
        assert turn.facts.grams == one.grams


PHRASE = ToRead("galah", 313)


def heard_as(phrase: ToRead, name: str, grams: int, fate: Fate = Fate.ASKED) -> Answer:
    weight = Weight(str(grams), Decimal(grams), Decimal(grams))
    named = own_aviary().named(name)
    return Answer(phrase, fate, f"{name} {grams}", DoseWanted(named, name, (weight,)))


def test_a_number_heard_as_another_is_to_be_said_figure_by_figure():
    found = trouble([heard_as(PHRASE, "galah", 330)], own_aviary())
    assert (found.names, found.numbers) == ((), (PHRASE,))
    assert replace(PHRASE, figures=True).number == "three one three"


def test_a_name_heard_as_another_or_not_at_all_is_to_be_avoided():
    missed = Answer(ToRead("weiro", 90), Fate.MISSED, "")
    found = trouble([heard_as(PHRASE, "cockatiel", 313), missed], own_aviary())
    assert (found.names, found.numbers) == (("galah", "weiro"), ())


@pytest.mark.parametrize("fate", [Fate.RIGHT, Fate.ASKED])
def test_what_was_heard_rightly_is_no_trouble(fate: Fate):
    found = trouble([heard_as(PHRASE, "galah", 313, fate)], own_aviary())
    assert (found.names, found.numbers) == ((), ())


def test_what_was_right_hides_nothing_that_comes_after_it():
    right = Answer(ToRead("weiro", 90), Fate.RIGHT, "weiro ninety")
    found = trouble([right, heard_as(PHRASE, "galah", 330)], own_aviary())
    assert (found.names, found.numbers) == ((), (PHRASE,))


def test_a_number_is_read_in_words_unless_figures_are_asked_for():
    assert PHRASE.text == "galah three hundred and thirteen grams"


@pytest.mark.parametrize("aviary", [own_aviary(), Aviary(species_table())], ids=["own", "table"])
def test_each_weight_is_the_one_with_its_end_that_is_nearest_to_the_middle(aviary: Aviary):
    for one in phrases(aviary):
        bird = species_of(one, aviary)
        middle, end = (bird.low_g + bird.high_g) / 2, one.grams % 100
        within = range(int(bird.low_g) + 1, int(bird.high_g * Decimal("1.3")) + 1)
        alike = [grams for grams in within if grams % 100 == end and grams >= 10]
        assert one.grams in alike
        assert abs(one.grams - middle) == min(abs(grams - middle) for grams in alike)


def test_six_numbers_are_read_figure_by_figure():
    ends = [one.grams % 100 for one in phrases(own_aviary()) if one.figures]
    assert ends == [2, 37, 46, 58, 69, 21]


def test_no_name_that_means_two_birds_or_has_a_figure_in_it_is_read():
    twins = {"bird": [{"name": "Pip", "species": "Galah"}, {"name": "pip", "species": "Cockatiel"},
                      {"name": "Bird 7", "species": "Galah"}]}  # fmt: skip
    read = {one.name for one in phrases(read_birds(twins, species_table(), "birds.toml"))}
    assert not read & {"pip", "bird 7"}
