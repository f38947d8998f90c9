"""The figures by which hearing is judged, each at its line; a new fit changes them here too."""

from __future__ import annotations

import math

import pytest

from assistant.hearing import awaited, decision, habit, signal
from assistant.hearing.decision import (
    Opinions,
    Verdict,
    Weights,
    decide,
    is_worth_asking,
    probability,
)
from assistant.hearing.evidence import NOTHING, Evidence, Reading
from assistant.hearing.gathering import as_heard, gathered, ranked
from assistant.hearing.habit import Read, strain_habit
from assistant.hearing.shares import Share, wilson
from assistant.hearing.signal import NO_SIGNAL
from assistant.language.expected import Expected, Fit, Saying
from assistant.language.heard import WORTH_ASKING, Alternative, Channel


def heard(margin: float, strain: float) -> Evidence:
    """Two readings of two seconds, so far apart, so far behind what is heard without grammar."""
    readings = (Reading("galah 330", 0.0, 0.9), Reading("galah 313", -margin, 0.1))
    return Evidence(readings, 2.0, "galah 330", strain * 2.5)


def test_the_writing_ear_is_asked_about_from_its_line_on():
    assert is_worth_asking(heard(2.0, 3.0))
    assert not is_worth_asking(heard(1.99, 3.0))
    assert not is_worth_asking(heard(2.0, 3.01))
    assert not is_worth_asking(NOTHING)


def test_what_answers_on_its_line_answers(monkeypatch: pytest.MonkeyPatch):
    on_line = heard(4.0, 0.0)
    writing = Opinions(writing=1.0)
    monkeypatch.setattr(decision, "SURE_ALONE", probability(on_line))
    assert decide(on_line) is Verdict.ANSWER
    monkeypatch.setattr(decision, "SURE_ALONE", 1.0)
    monkeypatch.setattr(decision, "SURE_TOGETHER", probability(on_line, writing))
    assert decide(on_line, writing) is Verdict.ANSWER


def test_strain_of_five_is_the_last_that_may_be_meant_for_us():
    assert decide(heard(1.0, 5.0)) is Verdict.ASK
    assert decide(heard(1.0, 5.01)) is Verdict.IGNORE


def test_a_lead_beyond_nine_tells_no_more():
    assert probability(heard(8.9, 9.0)) < probability(heard(9.0, 9.0))
    assert probability(heard(9.0, 9.0)) == probability(heard(20.0, 9.0))


def test_one_ear_is_held_to_fewer_errors_than_ears_that_agree():
    assert (decision.SURE_ALONE, decision.SURE_TOGETHER) == (0.985, 0.95)
    assert WORTH_ASKING < 0.5 < decision.GLIMPSED < decision.SURE_TOGETHER


NEAR = {
    "ALONE": Weights(-0.2, 0.7, -0.8),
    "WITH_WRITING": Weights(1.2, 0.5, -0.8, 0.6),
    "WITH_BOTH": Weights(1.2, 0.4, -0.7, 0.6, 1.6),
}


@pytest.mark.parametrize("asked", NEAR)
def test_the_fit_is_near_the_one_that_was_measured(asked: str):
    """Within half a unit: another fit of the same ears moves by tenths (assistant/docs/ears.md)."""
    fitted = getattr(decision, asked)
    for name in Weights.__slots__:
        assert getattr(fitted, name) == pytest.approx(getattr(NEAR[asked], name), abs=0.5), name


def test_nobody_who_was_not_asked_counts():
    alone = Weights(1.0, 1.0, 1.0)
    assert (alone.writing, alone.other) == (0.0, 0.0)
    assert not decision.NOBODY.agree


def test_a_reading_without_a_rival_leads_without_end():
    alone = Evidence((Reading("given", -3.0, 1.0),), 2.0, "given", 2.0)
    assert (alone.margin, alone.gap, alone.strain) == (math.inf, 5.0, 2.0)
    assert heard(3.0, 1.0).margin == 3.0
    assert (NOTHING.margin, NOTHING.gap, NOTHING.strain) == (math.inf, math.inf, math.inf)
    assert NOTHING.seconds == 0.0


def test_an_ear_without_free_text_is_measured_from_nought():
    assert Evidence((Reading("given", -3.0, 1.0),), 1.0).gap == 3.0


def test_no_more_than_eight_requests_are_kept_and_shares_are_of_all():
    kept = ranked(Reading(f"galah {300 + n}", 0.0, 0.0) for n in range(10))
    assert len(kept) == 8
    assert kept[0].share == pytest.approx(0.1)
    assert ranked([]) == ()


def test_wordings_of_one_request_are_believed_together():
    said = [("galah 90", math.log(1)), ("a galah 90", math.log(2)), ("given", math.log(2.5))]
    found = gathered(said, lambda words: "90" in words)
    assert [one.words for one in found] == ["a galah 90", "given"]
    assert [one.score for one in found] == pytest.approx([math.log(3), math.log(2.5)])
    assert [one.share for one in found] == pytest.approx([3 / 5.5, 2.5 / 5.5])


def test_what_was_read_becomes_what_was_heard():
    one = as_heard([Reading("given", 0.0, 0.7), Reading("galah", -1.0, 0.3)], "an ear")
    assert (one.words, one.confidence, one.channel, one.engine) == (
        "given", 0.7, Channel.VOICE, "an ear",
    )  # fmt: skip
    assert [(other.words, other.confidence) for other in one.alternatives] == [("galah", 0.3)]
    nothing = as_heard([], "an ear")
    assert (nothing.words, nothing.confidence, nothing.alternatives) == ("", 0.0, ())


def test_ten_right_phrases_show_a_habit_and_nine_do_not():
    calm = [Read(1.16, is_wrong=False)]
    assert strain_habit(calm * 10) == pytest.approx(1.0)
    assert strain_habit(calm * 9) == 0.0
    assert strain_habit([Read(99.0, is_wrong=False)] * 10) == habit.MOST_HABIT == 1.5


def test_the_middle_of_an_even_count_is_the_upper_one():
    mixed = [Read(strain, is_wrong=False) for strain in [0.16] * 5 + [1.16] * 5]
    assert strain_habit(mixed) == pytest.approx(1.0)


def test_an_answer_as_good_as_free_text_is_snug_and_a_hair_worse_is_not():
    assert awaited.is_snug(Evidence((Reading("yes", 0.0, 1.0),), 1.0, "yes", 0.0))
    assert not awaited.is_snug(Evidence((Reading("yes", 0.0, 1.0),), 1.0, "yes", 0.01))


def reading(*scores: tuple[str, float]) -> Evidence:
    """Readings of one second with their scores; the free text lies 2 above nought."""
    return Evidence(tuple(Reading(words, score, 1.0) for words, score in scores), 1.0, "free", 2.0)


def test_of_two_scores_of_one_request_the_better_is_kept_and_of_equals_the_first():
    better = awaited.together(reading(("yes", 0.5)), reading(("yes", 1.0)), str)
    assert [one.score for one in better.readings] == [1.0]
    alike = awaited.together(reading(("yes", 1.0)), reading(("yes yes", 1.0)), lambda _: "yes")
    assert [one.words for one in alike.readings] == ["yes"]


def fit(words: str) -> Fit:
    return {"yes": Fit.OFFERED, "thirteen": Fit.ANSWER}.get(words, Fit.OTHER)


def test_a_rival_that_was_only_as_good_falls_back_by_all_that_it_pays():
    assert awaited.weighed(reading(("yes", 1.0), ("gram", 1.0)), fit).margin == 3.0


def test_whatever_pays_less_than_the_ears_own_choice_may_pass_it():
    paths = (
        Alternative("forty saffron", 0.2),
        Alternative("thirteen", 0.5),
        Alternative("yes", 0.001),
    )
    yes_or_no = Expected(frozenset({Saying.YES_NO}))
    assert awaited.likelier(paths, yes_or_no, lambda words, _: fit(words))[0].words == "thirteen"


def test_readings_far_apart_can_still_be_put_together():
    found = gathered([("given", 0.0), ("galah", -2000.0)], str)
    assert [one.share for one in found] == [1.0, 0.0]


def test_a_reading_better_than_free_text_is_not_eased():
    snug = Evidence((Reading("given", 0.0, 1.0),), 1.0, "given", -0.5)
    assert habit.eased(snug, 1.0) == snug


def test_what_nobody_expects_pays_more():
    assert [awaited.COST[fit] for fit in (Fit.OFFERED, Fit.ANSWER, Fit.OTHER, Fit.ABSURD)] == [
        0.0, 2.0, 3.0, 4.0,
    ]  # fmt: skip
    assert awaited.OVERTAKEN == 1.0


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_intervals_are_those_of_the_published_table(count: int, of: int, low: float, high: float):
    # Newcombe 1998, Statistics in Medicine 17:857-872, table I, method 3 (from memory)
    assert wilson(count, of) == pytest.approx((low, high), abs=5e-5)
    assert Share(count, of).interval == wilson(count, of)


def test_a_share_of_all_or_of_nothing_has_exact_ends():
    assert wilson(20, 20) == pytest.approx((1 - 0.1611, 1.0), abs=5e-5)
    assert (wilson(20, 20)[1], wilson(0, 20)[0], wilson(0, 0)) == (1.0, 0.0, (0.0, 1.0))
    assert math.isnan(Share(0, 0).value)
    assert Share(1, 4).value == 0.25


def test_the_ends_stay_exact_however_many_there_were():
    assert {wilson(0, of)[0] for of in range(1, 300)} == {0.0}
    assert {wilson(of, of)[1] for of in range(1, 300)} == {1.0}


def test_no_sound_at_all_is_digital_silence():
    assert (NO_SIGNAL.level_dbfs, NO_SIGNAL.noise_dbfs, NO_SIGNAL.snr_db) == (-100, -100, -10)
    assert (NO_SIGNAL.clipped, NO_SIGNAL.seconds) == (0, 0)
    assert (signal.QUIETEST_DBFS, signal.WORST_SNR_DB, signal.BEST_SNR_DB) == (-100, -10, 70)
