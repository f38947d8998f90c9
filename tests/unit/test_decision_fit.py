"""The fitting of the decision: what it finds, and that it is told of other speakers."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.desk import open_bench_desk
from assistant.bench.decision_fit.command import decision_fit
from assistant.bench.decision_fit.hearing import Case, Reading, read_cases
from assistant.bench.decision_fit.regression import (
    calibration_error,
    fitted,
    probabilities,
    reliability,
)
from assistant.bench.decision_fit.stages import (
    Bars,
    Extra,
    Model,
    Stage,
    answered,
    halves,
    is_weighed,
    on_others,
)
from assistant.bench.decision_fit.trials import OTHER_WAYS, decision_plan
from assistant.bench.decision_fit.usual_weights import log_likelihood
from assistant.bench.phones_fit.recipe import recipe, refuse_test_voice
from assistant.errors import DataProblem
from assistant.hearing.decision import NOBODY, Opinions, Verdict, decide, probability
from assistant.hearing.evidence import Evidence
from assistant.hearing.evidence import Reading as Said


def case(number: int, *, right: bool = True, margin: float = 6.0, strain: float = 0.5) -> Case:
    phones = Reading("galah 330 grams", right, margin, strain)
    return Case(
        voice=f"kokoro en-us/voice{number % 4} 1 1",
        condition="clean",
        kind="dose",
        said="galah 330 grams",
        seconds=2.0,
        phones=phones,
        cut_off=False,
        written=phones,
        lead=1.0 if right else -1.0,
        other=right,
        usual=0.0,
        snr_db=20.0,
    )


def many(count: int = 400) -> list[Case]:
    """Cases whose readings are right with a chance that follows from margin and strain."""
    chance, found = generator("cases"), []
    for number in range(count):
        margin, strain = chance.uniform(0, 9), chance.uniform(0, 4)
        sure = 1 / (1 + np.exp(-(1.0 + 0.6 * margin - 1.5 * strain)))
        right = bool(chance.uniform() < sure)
        found.append(case(number, right=right, margin=margin, strain=strain))
    return found


def test_the_regression_finds_the_coefficients_that_made_the_cases():
    chance = generator("regression")
    rows = np.column_stack([np.ones(6000), chance.uniform(-3, 3, 6000)])
    right = chance.uniform(size=6000) < probabilities(rows, np.array([0.5, -1.2]))
    assert fitted(rows, right) == pytest.approx([0.5, -1.2], abs=0.12)


def test_the_calibration_error_is_what_was_promised_and_not_kept():
    sure = np.array([0.6, 0.6, 0.6, 0.6, 0.99, 0.99])
    right = np.array([True, True, False, False, True, True])
    bins = reliability(sure, right)
    assert [(one.count, one.kept) for one in bins] == [(4, 0.5), (2, 1.0)]
    assert calibration_error(bins) == pytest.approx((4 * 0.1 + 2 * 0.01) / 6)


def test_no_speaker_is_in_both_halves():
    one, other = halves(many())
    assert one
    assert other
    assert not one & other


def test_a_case_is_tried_with_what_was_fitted_on_other_speakers():
    own, _ = halves(many())
    turned = [
        replace(one, phones=replace(one.phones, right=not one.phones.right))
        if one.speaker in own
        else one
        for one in many()
    ]
    straight, after = (on_others(Model(Stage.ALONE), cases) for cases in (many(), turned))
    same = np.isclose(straight, after)
    # turning the labels of one half changes the probabilities of the other half alone
    assert [bool(one) for one in same] == [one.speaker in own for one in many()]


def test_a_further_term_is_fitted_too():
    model = Model(Stage.WITH_BOTH, (Extra.PRIOR, Extra.SNR))
    assert model.terms[-2:] == (Extra.PRIOR, Extra.SNR)
    row = model.rows([replace(case(0), usual=-3.0, snr_db=20.0)])[0]
    assert row.tolist() == [1.0, 6.0, 0.5, 1.0, 1.0, -3.0, 2.0]


@pytest.mark.parametrize("margin", [0.2, 1.0, 2.0, 4.0, 8.0])
@pytest.mark.parametrize("strain", [0.1, 1.5, 4.5])
@pytest.mark.parametrize("lead", [-3.0, 0.0, 0.5, 3.0])
@pytest.mark.parametrize("other", [False, True])
def test_the_cascade_that_is_tried_is_that_of_the_ears(
    margin: float, strain: float, lead: float, *, other: bool
):
    said = (Said("a", 0.0, 1.0), Said("b", -margin, 0.0))
    heard = Evidence(said, 1.0, "", strain * 1.5)
    stages = (NOBODY, Opinions(lead), Opinions(lead, other=other))
    verdict = next(
        (v for one in stages if (v := decide(heard, one)) is not Verdict.ASK), Verdict.ASK
    )
    sure = {stage: probability(heard, one) for stage, one in zip(Stage, stages, strict=True)}
    tried = replace(case(0, margin=margin, strain=strain), lead=lead, other=other)
    assert answered(tried, sure, Bars()) is (verdict is Verdict.ANSWER)


def test_what_a_rule_settles_is_not_weighed():
    assert is_weighed(case(0))
    assert not is_weighed(replace(case(0), cut_off=True))
    assert not is_weighed(case(0, strain=5.1))
    assert not is_weighed(
        replace(case(0), phones=Reading("", right=False, margin=99.0, strain=99.0))
    )


def test_a_weight_outside_the_usual_ones_is_less_likely():
    lexicon = open_bench_desk().lexicon
    usual, odd = (log_likelihood(f"cockatiel {g} grams", lexicon) for g in (95, 400))
    assert usual > -1 > odd >= -8
    assert log_likelihood("", lexicon) == log_likelihood("given", lexicon) == 0.0


def test_the_trials_are_said_by_voices_that_no_network_was_fitted_on(
    monkeypatch: pytest.MonkeyPatch,
):
    for place in ("decision_fit.trials", "acoustic.plan"):
        # the voices need not be on this machine to be planned with
        monkeypatch.setattr(f"assistant.bench.{place}.is_here", lambda _: True)
    plan = decision_plan(open_bench_desk(), 1)
    names = {trial.voice.name for trial in plan.trials if trial.voice}
    assert names == {name for one in recipe().held_out for name in one.names} | {*OTHER_WAYS}
    assert not names & {name for one in recipe().speakers for name in one.names}
    assert plan.talkers


def test_no_variant_of_the_trials_was_heard_in_any_accent_nor_is_in_the_test_part():
    heard = {name.partition("+")[2] for one in recipe().speakers for name in one.names}
    assert not heard & {name.partition("+")[2] for name in OTHER_WAYS}
    for name in OTHER_WAYS:
        refuse_test_voice("espeak", name)


def test_cases_are_read_as_they_were_written(tmp_path: Path):
    path = tmp_path / "cases.jsonl"
    path.write_text("".join(json.dumps(asdict(one)) + "\n" for one in many(50)), "utf-8")
    assert read_cases(path) == many(50)
    path.write_text("{}", "utf-8")
    with pytest.raises(DataProblem, match="cannot be read"):
        read_cases(path)


def test_the_command_prints_coefficients_bins_and_what_becomes_of_requests(tmp_path: Path):
    path = tmp_path / "cases.jsonl"
    path.write_text("".join(json.dumps(asdict(one)) + "\n" for one in many()), "utf-8")
    printed = CliRunner().invoke(decision_fit, ["fit", str(path)], catch_exceptions=False).output
    assert "alone: constant" in printed
    assert "expected calibration error" in printed
    assert "weight prior" in printed
    assert "0.985      0.93" in printed
