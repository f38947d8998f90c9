"""Answers weighed against everything else that the same sound may be."""

from __future__ import annotations

import pytest

from assistant.hearing.awaited import COST, OVERTAKEN, is_snug, likelier, together, weighed
from assistant.hearing.evidence import NOTHING, Evidence, Reading
from assistant.language.expected import ANYTHING, Expected, Fit, Saying
from assistant.language.heard import Alternative

FITS = {"yes": Fit.OFFERED, "fifteen": Fit.OFFERED, "thirteen": Fit.ANSWER}


def fit(words: str) -> Fit:
    return FITS.get(words, Fit.OTHER)


def evidence(free: float, **scores: float) -> Evidence:
    readings = tuple(
        Reading(words.replace("_", " "), score, 1.0) for words, score in scores.items()
    )
    return Evidence(readings, 1.0, "free", free)


def test_an_answer_that_fits_like_free_text_is_snug_and_nothing_else_is():
    assert is_snug(evidence(-1.0, yes=0.0))
    assert not is_snug(evidence(1.0, yes=0.0))
    assert not is_snug(NOTHING)


def test_a_better_reading_of_the_whole_grammar_takes_the_place_of_a_forced_answer():
    both = together(evidence(2.0, yes=-9.0), evidence(2.0, galah_ninety=1.0), str)
    assert [one.words for one in weighed(both, fit).readings] == ["galah ninety", "yes"]


def test_the_same_request_is_there_once_with_its_better_score():
    both = together(evidence(2.0, yes=1.0), evidence(2.0, yes=0.5, gram=-3.0), str)
    assert [(one.words, one.score) for one in both.readings] == [("yes", 1.0), ("gram", -3.0)]


def test_a_near_rival_that_nobody_expected_falls_behind():
    found = weighed(evidence(3.0, twenty_saffron=1.0, yes=0.5), fit)
    assert found.readings[0].words == "yes"
    assert found.margin == pytest.approx(OVERTAKEN)


def test_a_rival_that_was_behind_and_that_nobody_expected_falls_farther_behind():
    found = weighed(evidence(3.0, yes=1.0, twenty_saffron=0.5), fit)
    assert found.margin == pytest.approx(0.5 + COST[Fit.OTHER])


def test_the_best_keeps_its_own_score_so_that_its_strain_is_as_it_was():
    for one in (evidence(3.0, galah_ninety=1.0, yes=-8.0), evidence(3.0, yes=1.0, gram=0.0)):
        assert weighed(one, fit).strain == one.strain


def test_a_weight_that_was_not_on_offer_stays_a_rival():
    found = weighed(evidence(1.0, thirteen=0.9, fifteen=0.5), fit)
    assert [one.words for one in found.readings] == ["fifteen", "thirteen"]
    assert found.margin == pytest.approx(OVERTAKEN)


def test_a_weight_that_was_not_on_offer_wins_where_it_fits_much_better():
    assert weighed(evidence(5.0, thirteen=5.0, fifteen=0.5), fit).readings[0].words == "thirteen"


def test_shares_are_of_one_whole():
    found = weighed(evidence(3.0, yes=1.0, gram=0.0, galah_ninety=0.5), fit)
    assert sum(one.share for one in found.readings) == pytest.approx(1)
    assert weighed(NOTHING, fit) == NOTHING


EXPECTED = Expected(frozenset({Saying.YES_NO}))
PATHS = (Alternative("forty saffron", 0.5), Alternative("yes", 0.2), Alternative("gram", 0.1))


def fit_what(words: str, _: Expected) -> Fit:
    return fit(words)


def test_a_wording_that_was_expected_goes_before_one_that_was_not():
    found = likelier(PATHS, EXPECTED, fit_what)
    assert [one.words for one in found] == ["yes", "forty saffron", "gram"]
    assert sum(one.confidence for one in found) == pytest.approx(0.8)


def test_the_ears_own_choice_stays_first_among_equals():
    paths = (Alternative("yes", 0.2), Alternative("fifteen", 0.3))
    assert [one.words for one in likelier(paths, EXPECTED, fit_what)] == ["yes", "fifteen"]


def test_nothing_is_weighed_where_anything_may_be_said_or_a_foreign_word_was():
    assert likelier(PATHS, ANYTHING, fit_what) == PATHS
    assert likelier(PATHS, EXPECTED, None) == PATHS
    foreign = (Alternative("", 0.5), Alternative("yes", 0.5))
    assert likelier(foreign, EXPECTED, fit_what) == foreign
