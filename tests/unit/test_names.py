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


def test_of_words_at_several_distances_the_nearest_come():
    assert near_words("cockatie", ["cockatiel", "cockatxx"]) == ("cockatiel",)
    assert near_words("gun", ["gun"]) == (), "a short word is near none, itself included"


def each_its_own(*names: str) -> dict[str, frozenset[str]]:
    return {name: frozenset({name}) for name in names}


def test_names_equally_near_are_suggested_in_their_order_and_three_at_most():
    near = nearest("pepper", each_its_own("peppet", "peppen", "peppes", "pepped"))
    assert near.suggested == ("pepped", "peppen", "peppes")


def test_the_nearest_of_several_is_suggested_first():
    assert nearest("pepper", each_its_own("pappar", "peppet")).suggested == ("peppet", "pappar")


def test_of_two_names_of_one_bird_the_first_by_its_letters_is_taken():
    assert nearest("galaa", NAMES).taken == "gala"


def test_the_nearest_rival_counts_and_not_the_farthest():
    assert nearest("pepper", each_its_own("peppet", "peppat", "pappat")).taken is None


def test_only_a_longer_word_has_names_suggested_that_are_one_slip_further_away():
    assert nearest("wren", each_its_own("wran", "wrxx")).suggested == ("wran",)
    assert nearest("wrens", each_its_own("wrans", "wrxxs")).suggested == ("wrans", "wrxxs")


def test_three_birds_are_not_too_many_to_choose_from():
    names = each_its_own("red finch", "blue finch", "grey finch")
    assert part_of(("finch",), names) == ("red finch", "blue finch", "grey finch")


def test_a_part_of_a_name_finds_its_bird():
    names = demo_lexicon().bird_names
    assert part_of(("port", "lincoln"), names) == ("port lincoln parrot",)
    assert part_of(("conure",), names) == ("conure",)
    assert part_of(("parrot",), names) == (), "too many to choose from"
    assert part_of(("ostrich",), names) == ()


def test_a_swap_of_two_letters_is_one_slip():
    assert slips("galah", "galha") == 1
