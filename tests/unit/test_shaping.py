"""Grammars cut, walked and listed; parts that match; what is rare; each on a grammar of its own."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from assistant.language import parts, rarity, shaping
from assistant.language.matching import Matcher
from assistant.language.shaping import (
    CLOSE,
    TYPED,
    cut,
    for_ears,
    for_fine_ears,
    phrases,
    sample,
    words_of,
)
from assistant.language.tree import (
    EMPTY,
    NEVER,
    Choice,
    Figure,
    Grammar,
    Mark,
    Node,
    Repeat,
    Rule,
    Sequence,
    Tagged,
    Word,
    phrase,
)

RED, FOX, OWL = Word("red"), Word("fox"), Word("owl")


def grammar(root: Node, **rules: Node) -> Grammar:
    return Grammar("a", {"a": root, **rules})


def takes(rules: Grammar, text: str) -> bool:
    return bool(Matcher(rules).readings(tuple(text.split())))


def test_a_fixed_phrase_has_a_word_for_each_that_is_said():
    assert phrase("Red-rumped fox") == Sequence((RED, Word("rumped"), FOX))
    assert phrase("Red") == RED


def test_an_ear_for_phones_is_given_what_sounds_close_and_no_other_ear_is():
    both = grammar(Choice((RED, Tagged(FOX, CLOSE), Tagged(OWL, TYPED), Figure())))
    assert words_of(for_ears(both)) == {"red"}
    assert words_of(for_fine_ears(both)) == {"red", "fox"}
    assert words_of(for_ears(both, frozenset({"red"}))) == frozenset()


def test_what_needs_a_rule_that_is_gone_goes_with_it():
    rules = grammar(Choice((RED, Rule("b"))), b=Sequence((FOX, Rule("c"))), c=OWL)
    assert cut(rules, lambda node: node != OWL) == grammar(RED)
    assert cut(rules, lambda node: node not in (OWL, RED)) == grammar(NEVER)
    assert cut(rules, lambda _: True) == rules


def test_what_may_be_left_out_goes_alone_and_what_must_be_there_takes_all():
    maybe = grammar(Sequence((RED, Repeat(FOX, 0, 1))))
    assert cut(maybe, lambda node: node != FOX) == grammar(Sequence((RED, EMPTY)))
    must = grammar(Choice((OWL, Sequence((RED, Repeat(FOX, 1, None))))))
    assert cut(must, lambda node: node != FOX) == grammar(OWL)
    marked = grammar(Choice((OWL, Tagged(FOX, "x"))))
    assert cut(marked, lambda node: node != FOX) == grammar(OWL)


def first(_: int) -> int:
    return 0


def last(ways: int) -> int:
    return ways - 1


def test_a_walk_takes_the_branches_that_are_chosen():
    rules = grammar(
        Sequence((Tagged(Choice((RED, FOX)), "x"), Repeat(OWL, 0, 1), Rule("b"))), b=RED
    )
    assert sample(rules, first) == (("red", "red"), (Mark("x", 0, 1),))
    assert sample(rules, last) == (("fox", "owl", "red"), (Mark("x", 0, 1),))


def test_a_mark_stands_before_those_inside_it():
    rules = grammar(Sequence((RED, Tagged(Sequence((FOX, Tagged(OWL, "in"))), "out"))))
    assert sample(rules, first)[1] == (Mark("out", 1, 3), Mark("in", 2, 3))


def test_a_walk_repeats_up_to_what_is_allowed_or_twice_more():
    assert sample(grammar(Repeat(RED, 1, None)), first)[0] == ("red",)
    assert sample(grammar(Repeat(RED, 1, None)), last)[0] == ("red",) * 3
    assert sample(grammar(Repeat(RED, 0, None)), last)[0] == ("red",) * 2
    assert sample(grammar(Repeat(RED, 1, 2)), last)[0] == ("red",) * 2


def test_a_figure_is_a_number_from_one_to_999():
    assert sample(grammar(Figure()), first)[0] == ("1",)
    assert sample(grammar(Figure()), last)[0] == ("999",)


WIDE = grammar(
    Sequence((Repeat(RED, 0, 1), Choice((FOX, OWL, Word("wren"))), Repeat(Word("sits"), 0, 1)))
)


def pairs(listed: tuple[str, ...]) -> set[tuple[str, str]]:
    return {pair for text in listed for pair in pairwise(("", *text.split(), ""))}


def test_the_phrases_hold_every_pair_of_neighbours_and_none_brings_nothing_new():
    choose = random.Random(5).randrange  # noqa: S311 - a sample that is the same each time
    listed = phrases(WIDE, choose, most=200)
    kinds = ("fox", "owl", "wren")
    wanted = {(before, kind) for before in ("", "red") for kind in kinds}
    wanted |= {(kind, after) for kind in kinds for after in ("sits", "")}
    assert pairs(listed) == wanted | {("", "red"), ("sits", "")}
    for at, text in enumerate(listed):
        assert takes(WIDE, text)
        assert not pairs((text,)) <= pairs(listed[:at])


def counted(said: list[str]) -> tuple[Grammar, list[int], shaping.Choose]:
    """A choice among these words, and a chooser that takes them in turn and notes each."""
    taken: list[int] = []

    def choose(ways: int) -> int:
        taken.append(len(taken) % ways)
        return taken[-1]

    return grammar(Choice(tuple(map(Word, said)))), taken, choose


def test_sampling_ends_once_it_was_dry_as_often_as_there_may_be_phrases():
    rules, taken, choose = counted(["fox", "owl"])
    assert phrases(rules, choose, most=5) == ("fox", "owl")
    assert len(taken) == 2 + 5


def test_sampling_ends_when_there_are_enough_phrases():
    rules, taken, choose = counted(["fox", "owl", "wren", "kite"])
    assert phrases(rules, choose, most=3) == ("fox", "owl", "wren")
    assert len(taken) == 3


def test_a_part_that_repeats_is_matched_as_often_as_it_may():
    reds = [" ".join(["red"] * times) for times in range(5)]
    up_to_two, two_or_more = grammar(Repeat(RED, 0, 2)), grammar(Repeat(RED, 2, None))
    assert [takes(up_to_two, text) for text in reds] == [True, True, True, False, False]
    assert [takes(two_or_more, text) for text in reds] == [False, False, True, True, True]


def test_a_part_that_may_be_empty_repeats_without_end_only_once():
    assert takes(grammar(Sequence((Repeat(Repeat(RED, 0, 1), 0, None), FOX))), "red red fox")


def test_a_strange_word_matches_nothing():
    rules = grammar(Sequence((RED, FOX)))
    assert not takes(rules, "red ostrich")
    assert not takes(rules, "red")
    assert not takes(rules, "")


def test_a_word_given_for_no_sound_is_no_strange_word():
    matcher = Matcher(grammar(Choice((RED, Word("mutant")))))
    assert not matcher.readings(("ostrich",))
    assert matcher.readings(("mutant",))


def test_of_too_many_readings_the_first_by_their_place_are_followed(
    monkeypatch: pytest.MonkeyPatch,
):
    many = grammar(Choice(tuple(Tagged(RED, f"t{at}") for at in range(4))))
    assert len(Matcher(many).readings(("red",))) == 4
    monkeypatch.setattr(parts, "READINGS_LIMIT", 4)
    assert len(Matcher(many).readings(("red",))) == 4
    monkeypatch.setattr(parts, "READINGS_LIMIT", 3)
    kept = Matcher(many).readings(("red",))
    assert sorted(marks[0].tag for marks in kept) == ["t0", "t1", "t2"]


def test_two_readings_are_always_told_apart():
    assert parts.READINGS_LIMIT == 60


RARE = {
    3.0: "about around roughly sorry no",
    2.0: "um er so now okay bag with without ounce ounces pound pounds",
    1.5: "point half quarter quarters double",
    1.0: "please thanks thank kilo kilos kilogram kilograms of on the an",
}


@pytest.mark.parametrize("cost", RARE)
def test_what_is_seldom_said_costs_what_was_set(cost: float):
    said = {word: rarity.rarity(("galah", word)) for word in RARE[cost].split()}
    assert said == dict.fromkeys(RARE[cost].split(), cost)


def test_no_other_word_costs_anything_and_none_alone_does():
    assert set(rarity.RARITY) == {word for words in RARE.values() for word in words.split()}
    assert rarity.rarity(("no",)) == rarity.rarity(("galah", "fox")) == rarity.rarity(()) == 0
    assert rarity.rarity(("um", "galah", "about")) == 5
