"""What an ear made of one sound at several pitches, put together."""

from __future__ import annotations

import pytest

from assistant.hearing.decision import FOREIGN_STRAIN
from assistant.hearing.evidence import NOTHING, Evidence, Reading
from assistant.hearing.pitches import NOTHING_FOUND, UNFOUND, averaged

SECONDS = 2.0
FAR = FOREIGN_STRAIN * (SECONDS + 0.5)
"""How far behind the free score a reading lies at the line to other talk."""


def at_pitch(free: float, **gaps: float) -> Evidence:
    """What was heard at a pitch: words, and how far each lies behind the free score."""
    ordered = sorted(gaps.items(), key=lambda one: one[1])
    readings = tuple(Reading(words, free - gap, 0.5) for words, gap in ordered)
    return Evidence(readings, SECONDS, None, free)


def test_the_best_is_what_lies_least_behind_on_the_whole():
    heard = averaged([at_pitch(-3.0, six=1.0, eight=2.0), at_pitch(50.0, eight=1.0, six=8.0)], str)
    assert [one.words for one in heard.readings] == ["eight", "six"]
    assert heard.margin == pytest.approx(4.5 - 1.5)


def test_it_fits_as_well_as_at_the_pitch_where_it_fits_best():
    heard = averaged([at_pitch(-3.0, eight=6.0), at_pitch(9.0, eight=1.0)], str)
    assert heard.gap == pytest.approx(1.0)


def test_what_was_not_found_at_a_pitch_counts_as_far_behind_there():
    heard = averaged([at_pitch(0.0, six=1.0), at_pitch(0.0, eight=2.0, six=2.5)], str)
    assert [one.words for one in heard.readings] == ["six", "eight"]
    assert heard.margin == pytest.approx((1.0 + UNFOUND + 2.0) / 2 - (1.0 + 2.5) / 2)


def test_a_pitch_at_which_nothing_was_found_puts_all_back_alike():
    alone = at_pitch(0.0, six=1.0, eight=3.0)
    heard = averaged([alone, at_pitch(0.0)], str)
    assert heard.margin == pytest.approx(alone.margin / 2)
    assert heard.gap == pytest.approx(1.0)
    assert NOTHING_FOUND > 0


def test_a_doubt_does_not_become_other_talk_at_other_pitches():
    first = at_pitch(0.0, six=0.9 * FAR)
    for far, best in ((0.95, "ten"), (1.1, "six")):
        other = at_pitch(0.0, ten=far * FAR)
        assert averaged([first, other, other], str).readings[0].words == best


def test_wordings_of_one_request_are_one():
    heard = averaged([at_pitch(0.0, six=1.0), at_pitch(0.0, SIX=1.0)], str.lower)
    assert [one.words for one in heard.readings] == ["six"]


def test_without_a_reading_there_is_still_none():
    assert averaged([NOTHING, NOTHING], str) == NOTHING
