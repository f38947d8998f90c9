"""Which ears are chosen, by fates that each test sets."""

from __future__ import annotations

import pytest

from assistant.hearing.choosing import (
    ENOUGH,
    USUAL,
    Ear,
    Fate,
    Pair,
    Score,
    choose,
    sign_test,
)
from assistant.hearing.shares import Share

VOSK = Pair(Ear.VOSK, Ear.NEURAL)
R, A, W = Fate.RIGHT, Fate.ASKED, Fate.WRONG


def score(pair: Pair, *fates: tuple[Fate, int]) -> Score:
    return Score(pair, tuple(fate for fate, count in fates for _ in range(count)))


# exact binomial tails: 2 * (1 + 6) / 2**6; 2 * 1 / 2**6; one of each
@pytest.mark.parametrize(
    ("won", "lost", "chance"), [(5, 1, 14 / 64), (6, 0, 2 / 64), (1, 1, 1.0), (0, 0, 1.0)]
)
def test_the_sign_test_is_the_exact_binomial(won: int, lost: int, chance: float):
    assert sign_test(won, lost) == pytest.approx(chance)
    assert sign_test(lost, won) == pytest.approx(chance)


def test_a_clear_lead_in_right_ones_changes_the_ears():
    used, other = score(USUAL, (R, 20), (A, 10)), score(VOSK, (R, 30))
    assert choose(used, [other]) is other


def test_what_both_leave_unheard_speaks_against_neither():
    used, other = score(USUAL, (R, 10), (A, 20)), score(VOSK, (R, 20), (A, 10))
    assert choose(used, [other]) is other


def test_fewer_wrong_and_clearly_more_right_changes_the_ears():
    used, other = score(USUAL, (R, 10), (W, 1), (A, 19)), score(VOSK, (R, 30))
    assert choose(used, [other]) is other


def test_a_pair_is_named_by_its_ears_and_a_fate_has_its_share():
    assert (USUAL.name, Pair(Ear.NEURAL).name) == ("neural + pocketsphinx", "neural alone")
    assert score(USUAL, (R, 3), (A, 1)).share(R) == Share(3, 4)
    assert ENOUGH == 30


def test_a_lead_that_chance_explains_changes_nothing():
    used, other = score(USUAL, (R, 26), (A, 4)), score(VOSK, (R, 30))
    assert choose(used, [other]) is used


def test_more_right_never_outweighs_a_further_wrong_one():
    used, other = score(USUAL, (R, 10), (A, 20)), score(VOSK, (R, 29), (W, 1))
    assert choose(used, [other]) is used


def test_fewer_wrong_is_enough_where_it_is_about_as_often_right():
    used, other = score(USUAL, (R, 29), (W, 1)), score(VOSK, (R, 29), (A, 1))
    assert choose(used, [other]) is other


def test_fewer_wrong_is_not_enough_where_it_hardly_ever_answers():
    used, other = score(USUAL, (R, 29), (W, 1)), score(VOSK, (R, 2), (A, 28))
    assert choose(used, [other]) is used


def test_one_ear_alone_never_takes_the_place_of_two():
    used, other = score(USUAL, (R, 10), (A, 20)), score(Pair(Ear.NEURAL), (R, 30))
    assert choose(used, [other]) is used
