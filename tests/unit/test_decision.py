"""What the evidence of one or more ears amounts to, at and around each line."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from assistant.hearing.decision import (
    ALONE,
    FOREIGN_STRAIN,
    MOST_LEAD,
    SPEECHLESS,
    SURE_ALONE,
    SURE_TOGETHER,
    WITH_WRITING,
    Opinions,
    Verdict,
    decide,
    is_clear,
    lead,
    probability,
)
from assistant.hearing.evidence import NOTHING, Evidence, Reading

SECONDS = 2.0


def heard(margin: float, strain: float) -> Evidence:
    """Two readings so far apart, so far behind what is heard without a grammar."""
    best, other = Reading("galah 330 grams", 0.0, 0.9), Reading("galah 313 grams", -margin, 0.1)
    return Evidence((best, other), SECONDS, "galah 330", strain * (SECONDS + 0.5))


def logit(share: float) -> float:
    return math.log(share / (1 - share))


def margin_for(share: float, constant: float, slope: float) -> float:
    """The margin at which, without strain, the probability is this share: the model inverted."""
    return (logit(share) - constant) / slope


BOTH = Opinions(MOST_LEAD, other=True)
NEITHER = Opinions(-MOST_LEAD, other=False)


def test_the_probability_is_the_logistic_function_of_its_terms():
    by = WITH_WRITING
    score = by.constant + by.margin * 2.0 + by.strain * 1.5 + by.writing * 1.2
    assert probability(heard(2.0, 1.5), Opinions(1.2)) == pytest.approx(1 / (1 + math.exp(-score)))


@pytest.mark.parametrize("beside", [-0.01, 0.01])
def test_one_ear_answers_alone_from_its_line_on(beside: float):
    margin = margin_for(SURE_ALONE, ALONE.constant, ALONE.margin) + beside
    verdict = Verdict.ANSWER if beside > 0 else Verdict.ASK
    assert decide(heard(margin, 0.0)) is verdict
    assert is_clear(heard(margin, 0.0)) is (beside > 0)


@pytest.mark.parametrize("beside", [-0.01, 0.01])
def test_ears_that_agree_answer_from_their_line_on(beside: float):
    constant = WITH_WRITING.constant + WITH_WRITING.writing * 0.5
    margin = margin_for(SURE_TOGETHER, constant, WITH_WRITING.margin) + beside
    verdict = Verdict.ANSWER if beside > 0 else Verdict.ASK
    assert decide(heard(margin, 0.0), Opinions(0.5)) is verdict


def test_an_ear_that_heard_something_else_lowers_the_probability():
    alone = probability(heard(3.0, 1.0))
    assert probability(heard(3.0, 1.0), Opinions(-MOST_LEAD)) < alone
    assert probability(heard(3.0, 1.0), NEITHER) < alone


def test_nobody_who_disagrees_or_has_no_opinion_makes_it_answer():
    for strain in (1.0, 3.0):
        assert decide(heard(5.0, strain), NEITHER) is Verdict.ASK
        assert decide(heard(7.0, strain), Opinions(0.0, other=False)) is Verdict.ASK


def written(strain: float, *behind: float) -> Evidence:
    """What the writing ear heard: "a" first, then "b" and so on, so far behind."""
    readings = tuple(
        Reading(name, -far, 0.5) for name, far in zip("abc", (0.0, *behind), strict=False)
    )
    return Evidence(readings, SECONDS, "free", strain * (SECONDS + 0.5))


@pytest.mark.parametrize(
    ("evidence", "words", "least"),
    [
        (written(1.0, 1.5), "a", 1.5),
        (written(1.0, 9.0), "a", MOST_LEAD),
        (written(9.0, 1.5), "a", 1.5),
        (written(1.0), "a", MOST_LEAD),
        (written(1.0, 1.5, 2.5), "c", -2.5),
        (written(1.0, 1.5, 9.0), "c", -MOST_LEAD),
        (written(1.0, 1.5), "x", -MOST_LEAD),
        (written(1.0), "x", -MOST_LEAD),
        (written(SPEECHLESS + 0.1, 1.5), "b", 0.0),
        (NOTHING, "a", 0.0),
    ],
)
def test_the_lead_of_the_writing_ear_is_how_far_it_puts_the_words_before_others(
    evidence: Evidence, words: str, least: float
):
    assert lead(evidence, words.__eq__) == pytest.approx(least)


def test_what_strains_too_much_is_ignored_whoever_agrees():
    for strain, verdict in ((FOREIGN_STRAIN, Verdict.ASK), (FOREIGN_STRAIN + 0.01, Verdict.IGNORE)):
        assert decide(heard(1.0, strain)) is verdict
    assert decide(heard(9.0, FOREIGN_STRAIN + 0.01), BOTH) is Verdict.IGNORE


def test_a_phrase_cut_off_in_the_sound_is_never_answered():
    cut = replace(heard(9.0, 0.0), cut_off=True)
    assert decide(heard(9.0, 0.0)) is Verdict.ANSWER
    assert decide(cut) is decide(cut, BOTH) is Verdict.ASK


def test_without_a_reading_there_is_nothing_to_answer():
    assert decide(NOTHING, BOTH) is Verdict.IGNORE
    assert probability(NOTHING, BOTH) == 0.0


def test_one_reading_alone_has_no_rival():
    alone = Evidence((Reading("given", 0.0, 1.0),), SECONDS, "given", 0.0)
    assert decide(alone) is Verdict.ANSWER


def test_more_margin_less_strain_and_agreement_each_raise_the_probability():
    middle = probability(heard(2.0, 2.0), NEITHER)
    assert probability(heard(3.0, 2.0), NEITHER) > middle
    assert probability(heard(2.0, 1.0), NEITHER) > middle
    assert probability(heard(2.0, 2.0), replace(NEITHER, other=True)) > middle
    assert probability(heard(2.0, 2.0), replace(NEITHER, writing=-1.0)) > middle
    assert 0 < middle < 1
