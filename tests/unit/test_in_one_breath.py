"""Two things in one breath, found in words whose stretches are read by a table."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import pytest

from assistant.language.breath import Breath, in_one_breath, is_cage, is_needle
from assistant.language.requests import (
    CageSaid,
    DoseWanted,
    NeedleSaid,
    Plain,
    Request,
    TareSaid,
    Weight,
)
from tests.dosing_scene import species

WEIGHT = Weight("95", Decimal(95), Decimal(95))
BIRD = DoseWanted((species(),), "galah", (WEIGHT,))
WEIGHT_ALONE = DoseWanted(weights=(WEIGHT,))
TARE = TareSaid(WEIGHT)
CAGE = CageSaid("4")
GIVEN = Plain("given")


def in_these(words: str, meant: Mapping[tuple[int, int], Request]) -> list[Breath]:
    """What is found in the words where these stretches of them have a meaning, and no others."""

    def read(start: int, end: int) -> tuple[Request, ...]:
        return (meant[start, end],) if (start, end) in meant else ()

    return list(in_one_breath(tuple(words.split()), read))


def found(first: Request, second: Request, words: str = "one and other") -> list[Breath]:
    """What is found where the words before "other" are the first, the rest the second."""
    said = words.split()
    middle = said.index("other")
    end_of_first = middle - (said[middle - 1] in ("and", "but"))
    return in_these(words, {(0, end_of_first): first, (middle, len(said)): second})


@pytest.mark.parametrize(
    "kind",
    [
        *("next_cage", "needle_new", "needle_rinsed", "count", "remaining", "goodbye"),
        *("coughing", "fluid", "too_much"),
    ],
)
def test_what_may_follow_an_end(kind: str):
    assert found(GIVEN, Plain(kind)) == [Breath(GIVEN, Plain(kind), clear=True)]


@pytest.mark.parametrize("kind", ["given", "needle_full", "yes", "next", "help", ""])
def test_what_may_not_follow_an_end(kind: str):
    assert found(GIVEN, Plain(kind)) == []


@pytest.mark.parametrize(
    "end",
    [
        *("given", "part_given", "not_given", "not_known", "got_away", "next"),
        *("crop_full", "crop_sour"),
    ],
)
def test_what_is_an_end(end: str):
    assert found(Plain(end), CAGE) == [Breath(Plain(end), CAGE, clear=True)]


@pytest.mark.parametrize("kind", ["wrong_bird", "other_bird", "yes", "count", ""])
def test_what_is_no_end(kind: str):
    assert found(Plain(kind), BIRD) == []


def test_a_bag_or_a_bird_may_follow_an_end_and_the_bird_needs_the_word_next():
    assert found(GIVEN, TARE) == [Breath(GIVEN, TARE, clear=True)]
    assert found(GIVEN, BIRD) == [Breath(GIVEN, BIRD)]
    assert found(Plain("next"), BIRD) == [Breath(Plain("next"), BIRD, clear=True)]
    assert found(GIVEN, NeedleSaid()) == []


@pytest.mark.parametrize("then", ["next", "then", "the next"])
def test_the_word_that_makes_a_bird_the_next_one(then: str):
    words = f"given {then} galah"
    meant: dict[tuple[int, int], Request] = {(0, 1): GIVEN, (1, len(words.split())): BIRD}
    assert in_these(words, meant) == [Breath(GIVEN, BIRD, clear=True)]


@pytest.mark.parametrize("first", [CAGE, Plain("next_cage")])
def test_a_bird_with_a_name_may_follow_a_cage(first: Request):
    assert found(first, BIRD) == [Breath(first, BIRD, clear=True)]
    assert found(first, WEIGHT_ALONE) == []
    assert found(first, GIVEN) == []
    assert found(first, CAGE) == []


@pytest.mark.parametrize("kind", ["needle_new", "needle_rinsed", "needle_full"])
def test_a_bird_may_follow_a_needle_that_was_called_one(kind: str):
    first = Plain(kind)
    assert found(first, BIRD, "new needle other") == [Breath(first, BIRD, clear=True)]
    assert found(first, BIRD, "full other needle") == []
    assert found(first, WEIGHT_ALONE, "new needle other") == []


def test_a_bag_and_a_bird_may_be_told_in_either_order_and_leave_a_question():
    assert found(TARE, BIRD) == [Breath(TARE, BIRD)]
    assert found(BIRD, TARE) == [Breath(BIRD, TARE)]
    assert found(BIRD, BIRD) == []
    assert found(TARE, TARE) == []


def test_where_a_number_ends_is_not_guessed():
    meant: dict[tuple[int, int], Request] = {(0, 2): CAGE, (2, 3): BIRD}
    assert len(in_these("cage twenty other", meant)) == 1
    assert in_these("cage twenty four", meant) == []


def test_a_number_may_begin_the_second():
    meant: dict[tuple[int, int], Request] = {(0, 1): GIVEN, (1, 3): BIRD}
    assert in_these("given ninety galah", meant) == [Breath(GIVEN, BIRD)]


def test_two_ways_to_cut_that_agree_are_one_and_clear_where_one_is():
    meant: dict[tuple[int, int], Request] = {
        (0, 1): GIVEN,
        (0, 2): GIVEN,
        (1, 3): BIRD,
        (2, 3): BIRD,
    }
    assert in_these("given then galah", meant) == [Breath(GIVEN, BIRD, clear=True)]


def test_what_is_a_cage_and_what_a_needle():
    assert [one for one in (CAGE, Plain("next_cage"), GIVEN, BIRD) if is_cage(one)] == [
        CAGE,
        Plain("next_cage"),
    ]
    kinds = ("needle_new", "needle_rinsed", "needle_full", "needle_which", "given")
    assert [kind for kind in kinds if is_needle(Plain(kind))] == list(kinds[:3])
    assert not is_needle(NeedleSaid())
