"""What the evidence of one or two ears amounts to, at and around each line."""

from __future__ import annotations

import pytest

from assistant.hearing.decision import (
    FOREIGN_STRAIN,
    LITTLE_STRAIN,
    NARROW_MARGIN,
    SHARED_STRAIN,
    WIDE_MARGIN,
    Verdict,
    decide,
    probability,
)
from assistant.hearing.evidence import NOTHING, Evidence, Reading

SECONDS = 2.0


def heard(margin: float, strain: float) -> Evidence:
    """Two readings so far apart, so far behind the free text."""
    best, other = Reading("galah 330 grams", 0.0, 0.9), Reading("galah 313 grams", -margin, 0.1)
    return Evidence((best, other), SECONDS, "galah 330", strain * (SECONDS + 0.5))


@pytest.mark.parametrize(
    ("margin", "strain", "agrees", "verdict"),
    [
        (WIDE_MARGIN, LITTLE_STRAIN, False, Verdict.ANSWER),
        (WIDE_MARGIN - 0.01, LITTLE_STRAIN, False, Verdict.ASK),
        (WIDE_MARGIN, LITTLE_STRAIN + 0.01, False, Verdict.ASK),
        (NARROW_MARGIN, SHARED_STRAIN, True, Verdict.ANSWER),
        (NARROW_MARGIN - 0.01, SHARED_STRAIN, True, Verdict.ASK),
        (NARROW_MARGIN, SHARED_STRAIN + 0.01, True, Verdict.ASK),
        (12.0, FOREIGN_STRAIN, False, Verdict.ASK),
        (12.0, FOREIGN_STRAIN + 0.01, False, Verdict.IGNORE),
        (0.0, 0.0, False, Verdict.ASK),
    ],
)
def test_each_line_is_where_it_is_said_to_be(
    margin: float,
    strain: float,
    agrees: bool,  # noqa: FBT001 - a table's column
    verdict: Verdict,
):
    assert decide(heard(margin, strain), agrees=agrees) is verdict


def test_without_a_reading_there_is_nothing_to_answer():
    assert decide(NOTHING, agrees=True) is Verdict.IGNORE
    assert probability(NOTHING, agrees=True) == 0.0


def test_one_reading_alone_has_no_rival():
    alone = Evidence((Reading("given", 0.0, 1.0),), SECONDS, "given", 0.0)
    assert decide(alone, agrees=False) is Verdict.ANSWER


def test_more_margin_less_strain_and_agreement_each_raise_the_probability():
    middle = probability(heard(2.0, 2.0), agrees=False)
    assert probability(heard(3.0, 2.0), agrees=False) > middle
    assert probability(heard(2.0, 1.0), agrees=False) > middle
    assert probability(heard(2.0, 2.0), agrees=True) > middle
    assert 0 < middle < 1
