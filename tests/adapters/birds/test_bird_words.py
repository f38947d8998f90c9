from __future__ import annotations

from collections import Counter
from decimal import Decimal

import pytest

from assistant.adapters.birds.words import read_bird_words
from assistant.adapters.home.folder import species_table
from assistant.dosing.species import Aviary, Bird
from assistant.dosing.tables import FigureProblems

AVIARY = Aviary(species_table(), (Bird("Pepper", "Cockatiel", "DEMO 12"),))


def counted(text: str) -> dict[str, int]:
    return dict(Counter(bird.species.name for bird in read_bird_words(text, AVIARY)))


@pytest.mark.parametrize(
    ("text", "birds"),
    [
        ("thirty budgerigars, six galahs", {"Budgerigar": 30, "Galah": 6}),
        ("30 budgies; 6 galahs", {"Budgerigar": 30, "Galah": 6}),
        ("A cockatiel and two galahs", {"Cockatiel": 1, "Galah": 2}),
        ("one hundred and five budgies and twelve canaries", {"Budgerigar": 105, "Canary": 12}),
        ("1,200 zebra finches", {"Zebra finch": 1200}),
        ("two galahs, and a canary", {"Galah": 2, "Canary": 1}),
        ("a pair of galahs and three pairs of budgies", {"Galah": 2, "Budgerigar": 6}),
        ("a dozen canaries, 2 dozen budgies", {"Canary": 12, "Budgerigar": 24}),
    ],
)
def test_birds_are_counted_from_words(text: str, birds: dict[str, int]):
    assert counted(text) == birds


def test_a_weight_may_be_told():
    birds = read_bird_words("two cockatiels of 95 g, one galah at 0.33 kg", AVIARY)
    assert [bird.grams for bird in birds] == [Decimal(95), Decimal(95), Decimal(330)]
    pair = read_bird_words("a pair of galahs of 330 g", AVIARY)
    assert [bird.grams for bird in pair] == [Decimal(330), Decimal(330)]


def test_a_bird_of_the_keeper_is_one_bird():
    for text in ("one pepper of 95 g", "Pepper of 95 g", "ring demo 12 of 95 g"):
        (bird,) = read_bird_words(text, AVIARY)
        assert (bird.said, bird.grams) == ("Pepper, ring DEMO 12, Cockatiel", Decimal(95))
    with pytest.raises(FigureProblems, match="Pepper is one bird"):
        read_bird_words("two peppers", AVIARY)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("budgerigars", "not said how many birds"),
        ("2.5 galahs", "not said how many birds"),
        ("0 galahs", "0 is not a number of birds"),
        ("11000 pairs of galahs", "22000 is not a number of birds"),
        ("a dozen", "no bird here is called “dozen”"),
        ("30000 galahs", "30000 is not a number of birds"),
        ("three ringnecks", "can be several birds"),
        ("twenty foos", "no bird here is called “foos”"),
        ("two galahs of 330", "no bird here is called"),
        ("  ", "names no bird"),
        ("two galahs, " * 300, "too long"),
    ],
)
def test_what_is_not_clear_is_asked_for(text: str, what: str):
    with pytest.raises(FigureProblems, match=what):
        read_bird_words(text, AVIARY)


def test_a_list_with_one_bad_part_is_not_taken_in_part():
    with pytest.raises(FigureProblems) as caught:
        read_bird_words("two galahs, three foos, four bars", AVIARY)
    assert [one.place for one in caught.value.problems] == ["In “three foos”", "In “four bars”"]
