from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.bench.acoustic.goals import goals, is_mild
from assistant.bench.acoustic.intervals import (
    Goal,
    Rate,
    Share,
    Side,
    Verdict,
    bound_of,
    poisson_interval,
    quantile,
    verdict,
    wilson,
)
from assistant.bench.acoustic.records import Kind, Truth
from assistant.bench.acoustic.results import as_line, read_results
from assistant.bench.acoustic.scoring import (
    Fate,
    Outcome,
    Result,
    Tally,
    calibration_error,
    reliability,
    tallies,
)

TRUTH = Truth("Cockatiel", Decimal(95), Decimal("0.48"))

ANSWERED = Outcome("answered", "dose", "Cockatiel", Decimal(95), Decimal("0.48"), "dose")
ASKED = Outcome("asked", "dose", "Cockatiel", Decimal(95))
IGNORED = Outcome("ignored")
GIVEN = Outcome("command", "given", meaning="given")


def result(kind: Kind, first: Outcome, then: Outcome | None = None) -> Result:
    truth = TRUTH if kind in (Kind.DOSE, Kind.OTHERWISE) else None
    return Result(
        0, kind, "", "given", truth, "clean", None, None, "voice", "", first, then, seconds=36.0
    )


@pytest.mark.parametrize(
    ("kind", "outcome", "fate"),
    [
        (Kind.DOSE, ANSWERED, Fate.RIGHT),
        (Kind.OTHERWISE, ANSWERED, Fate.RIGHT),
        (Kind.DOSE, replace(ANSWERED, grams=Decimal("95.0")), Fate.RIGHT),
        (Kind.DOSE, replace(ANSWERED, grams=Decimal(85)), Fate.WRONG),
        (Kind.DOSE, replace(ANSWERED, species="Budgerigar"), Fate.WRONG),
        (Kind.DOSE, replace(ANSWERED, species=None), Fate.WRONG),
        (Kind.DOSE, ASKED, Fate.ASKED),
        (Kind.DOSE, IGNORED, Fate.IGNORED),
        (Kind.DOSE, GIVEN, Fate.COMMAND),
        (Kind.CONTROL, GIVEN, Fate.RIGHT),
        (Kind.CONTROL, replace(GIVEN, meaning="not_given"), Fate.COMMAND),
        (Kind.CONTROL, ANSWERED, Fate.WRONG),
        (Kind.CHATTER, ANSWERED, Fate.WRONG),
        (Kind.CHATTER, GIVEN, Fate.COMMAND),
        (Kind.NOISE, IGNORED, Fate.IGNORED),
        (Kind.WEIGHT_ONLY, ANSWERED, Fate.WRONG),
        (Kind.CUT_OFF, ANSWERED, Fate.WRONG),
        (Kind.CUT_OFF, ASKED, Fate.ASKED),
    ],
)
def test_an_utterance_has_the_fate_that_its_kind_gives_it(kind: Kind, outcome: Outcome, fate: Fate):
    assert result(kind, outcome).fate is fate


def test_a_question_is_settled_by_what_its_answer_led_to():
    assert result(Kind.DOSE, ASKED, ANSWERED).end is Fate.RIGHT
    assert result(Kind.DOSE, ASKED, replace(ANSWERED, grams=Decimal(59))).end is Fate.WRONG
    assert result(Kind.DOSE, ASKED).end is Fate.ASKED


def test_only_a_question_is_followed():
    wrong = replace(ANSWERED, grams=Decimal(59))
    assert result(Kind.DOSE, wrong, ANSWERED).end is Fate.WRONG
    assert result(Kind.DOSE, IGNORED, ANSWERED).end is Fate.IGNORED


def test_the_error_in_volume_is_a_part_of_the_right_volume():
    double = replace(ANSWERED, grams=Decimal(190), dose_ml=Decimal("0.96"))
    assert result(Kind.DOSE, double).volume_error == pytest.approx(1.0)
    assert result(Kind.DOSE, ASKED, double).volume_error == pytest.approx(1.0)
    assert result(Kind.DOSE, ASKED).volume_error is None


def test_the_errors_of_a_row_are_those_of_its_wrong_answers_alone():
    half = replace(ANSWERED, grams=Decimal(47), dose_ml=Decimal("0.24"))
    row = Tally("row", tuple(result(Kind.DOSE, one) for one in (ANSWERED, half, ASKED)))
    assert row.volume_errors() == pytest.approx((0.5,))


def test_an_interval_is_the_mirror_of_its_complement():
    low, high = wilson(7, 50)
    assert wilson(43, 50) == pytest.approx((1 - high, 1 - low))


def test_the_share_of_nothing_is_unknown():
    assert math.isnan(Share(0, 0).value)
    assert Share(0, 0).interval == (0.0, 1.0)
    assert verdict(Share(0, 0), Goal(Side.AT_MOST, 0.01)) is Verdict.UNMEASURED


# Garwood 1936, Biometrika 28:437-442: half the 2.5 % and 97.5 % quantiles of chi-square (from
# memory).
@pytest.mark.parametrize(
    ("count", "low", "high"), [(0, 0.0, 3.6889), (1, 0.0253, 5.5716), (10, 4.7954, 18.3904)]
)
def test_poisson_intervals_are_exact(count: int, low: float, high: float):
    assert poisson_interval(count) == pytest.approx((low, high), abs=5e-5)


def test_false_answers_are_counted_by_the_hour():
    row = Tally("noise", tuple(result(Kind.NOISE, one) for one in (ANSWERED, IGNORED, GIVEN) * 10))
    rate = row.false_an_hour()
    assert rate.count == 10
    assert rate.value == pytest.approx(10 / 0.3)
    assert rate.interval == Rate(10, rate.hours).interval


def test_what_is_taken_for_given_is_counted_by_itself():
    row = Tally("chatter", (result(Kind.CHATTER, GIVEN), result(Kind.CHATTER, IGNORED)))
    assert row.taken_for("given") == Share(1, 2)
    assert row.taken_for("help") == Share(0, 2)


def heard_as(grams: int | None, confidence: float) -> Result:
    face = None if grams is None else Truth("Cockatiel", Decimal(grams), Decimal(1))
    return result(Kind.DOSE, replace(ASKED, face=face, confidence=confidence))


def test_words_at_face_value_are_right_wrong_or_no_dose():
    fates = [heard_as(grams, 0.5).at_face_value for grams in (95, 85, None)]
    assert fates == [Fate.RIGHT, Fate.WRONG, Fate.IGNORED]


def test_talk_heard_as_a_dose_is_never_right():
    talk = result(Kind.CHATTER, replace(IGNORED, face=TRUTH))
    assert talk.at_face_value is Fate.WRONG


def test_a_bin_holds_what_was_heard_with_its_confidence():
    heard = [heard_as(95, 1.0), heard_as(85, 0.95), heard_as(95, 0.05), heard_as(None, 0.05)]
    low, high = reliability(heard)
    assert (low.low, low.right) == (0.0, Share(1, 1))
    assert (high.high, high.right) == (1.0, Share(1, 2))
    assert high.confidence == pytest.approx(0.975)


def test_the_calibration_error_weighs_the_gaps_of_the_bins():
    heard = [heard_as(95, 1.0), heard_as(85, 0.95), heard_as(95, 0.05)]
    expected = (2 * abs(0.975 - 0.5) + 1 * abs(0.05 - 1.0)) / 3
    assert calibration_error(reliability(heard)) == pytest.approx(expected)
    assert math.isnan(calibration_error([]))


@pytest.mark.parametrize(
    ("share", "goal", "expected"),
    [
        (Share(0, 800), Goal(Side.AT_MOST, 0.005), Verdict.MET),
        (Share(0, 700), Goal(Side.AT_MOST, 0.005), Verdict.OPEN),
        (Share(4, 800), Goal(Side.AT_MOST, 0.005), Verdict.OPEN),
        (Share(5, 800), Goal(Side.AT_MOST, 0.005), Verdict.MISSED),
        (Share(780, 800), Goal(Side.AT_LEAST, 0.95), Verdict.MET),
        (Share(761, 800), Goal(Side.AT_LEAST, 0.95), Verdict.OPEN),
        (Share(759, 800), Goal(Side.AT_LEAST, 0.95), Verdict.MISSED),
    ],
)
def test_a_goal_is_met_only_with_its_bound(share: Share, goal: Goal, expected: Verdict):
    assert verdict(share, goal) is expected


def test_the_bound_beside_a_goal_is_the_unkind_one():
    share = Share(10, 100)
    assert bound_of(share, Goal(Side.AT_MOST, 0.2)) == share.interval[1]
    assert bound_of(share, Goal(Side.AT_LEAST, 0.2)) == share.interval[0]


def test_a_quantile_is_one_of_the_values():
    assert quantile([3.0, 1.0, 2.0], 0.5) == 2.0
    assert quantile([3.0, 1.0, 2.0], 1.0) == 3.0
    assert quantile([3.0, 1.0, 2.0], 0.0) == 1.0
    assert math.isnan(quantile([], 0.5))


def test_rows_come_in_the_order_in_which_they_were_met():
    results = [result(kind, IGNORED) for kind in (Kind.NOISE, Kind.DOSE, Kind.NOISE)]
    rows = tallies(results, lambda one: one.kind.value)
    assert [(row.name, len(row.results)) for row in rows] == [("noise", 2), ("dose", 1)]


def test_results_come_back_as_they_were_kept(tmp_path: Path):
    kept = [
        result(Kind.DOSE, ASKED, ANSWERED),
        heard_as(95, 0.5),
        result(Kind.DOSE, replace(ASKED, evidence={"alternatives": [["ninety five", 0.25]]})),
        replace(result(Kind.NOISE, IGNORED), noise="pink", snr_db=10.0),
    ]
    file = tmp_path / "results.jsonl"
    file.write_text("".join(f"{as_line(one)}\n" for one in kept), encoding="utf-8")
    assert list(read_results(file)) == kept


@pytest.mark.parametrize(
    ("condition", "snr_db", "mild"),
    [
        ("clean", None, True),
        ("pink 10 dB", 10.0, True),
        ("pink 5 dB", 5.0, False),
        ("barn", None, False),
    ],
)
def test_the_row_from_clean_to_10_db_holds_no_room_and_no_fault(
    condition: str, snr_db: float | None, *, mild: bool
):
    one = replace(result(Kind.DOSE, ANSWERED), condition=condition, snr_db=snr_db)
    assert is_mild(one) is mild


def test_each_goal_counts_its_own_utterances():
    wrong = replace(ANSWERED, grams=Decimal(59))
    measured = {
        row.name: row.measured
        for row in goals(
            [
                result(Kind.DOSE, ANSWERED),
                replace(result(Kind.DOSE, wrong), condition="pink 5 dB", snr_db=5.0),
                result(Kind.CHATTER, ANSWERED),
                result(Kind.CONTROL, GIVEN),
                result(Kind.NOISE, GIVEN),
            ]
        )
    }
    assert measured["WRONG, clean to 10 dB"] == Share(0, 1)
    assert measured["WRONG at 5 dB"] == Share(1, 1)
    assert measured["chatter answered"] == Share(1, 1)
    assert measured["talk and noise taken for given"] == Share(1, 2)
    assert measured["commands right"] == Share(1, 1)
