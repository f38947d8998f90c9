"""Near names: taken only when near one and far from the rest; else asked about."""

from __future__ import annotations

import pytest

from assistant.language.names import near_words, nearest, part_of, slips
from tests.talk_scene import demo_lexicon

NAMES = {
    "cockatiel": frozenset({"Cockatiel"}),
    "galah": frozenset({"Galah"}),
    "gala": frozenset({"Galah"}),
    "rosella": frozenset({"Crimson rosella", "Eastern rosella"}),
    "masked lovebird": frozenset({"Masked lovebird"}),
    "magpie": frozenset({"Magpie"}),
    "maggie": frozenset({"Maggie"}),
}


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("cockatiel", "cockatiel"),
        ("cocatiel", "cockatiel"),
        ("cockateil", "cockatiel"),
        ("cocktail", "cockatiel"),
        ("galha", "galah"),
        ("roselle", "rosella"),
        ("maskd lovebrd", "masked lovebird"),
    ],
)
def test_one_near_name_is_taken(word: str, name: str):
    near = nearest(word, NAMES)
    assert near.taken is not None
    assert NAMES[near.taken] == NAMES[name]


def test_two_near_names_are_only_suggested():
    near = nearest("magpe", NAMES)
    assert near.taken is None
    assert set(near.suggested) == {"magpie", "maggie"}


def test_two_names_of_one_bird_are_no_rivals():
    assert nearest("galaa", NAMES).taken is not None


@pytest.mark.parametrize("word", ["ostrich", "wren", "xyz", "co", "gal", ""])
def test_a_far_or_short_word_is_no_name(word: str):
    assert nearest(word, NAMES).taken is None


def test_a_short_word_is_near_no_other_word():
    assert near_words("gvn", ["given", "gun"]) == ()


def test_the_nearest_words_come_together():
    assert near_words("gives", ["given", "giver", "goodbye"]) == ("given", "giver")


def test_a_part_of_a_name_finds_its_bird():
    names = demo_lexicon().bird_names
    assert part_of(("port", "lincoln"), names) == ("port lincoln parrot",)
    assert part_of(("conure",), names) == ("conure",)
    assert part_of(("parrot",), names) == (), "too many to choose from"
    assert part_of(("ostrich",), names) == ()


def test_a_swap_of_two_letters_is_one_slip():
    assert slips("galah", "galha") == 1
