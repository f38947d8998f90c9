"""`python -m assistant.bench.decision_fit`: hear held-out voices, fit the decision, check it."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from pathlib import Path

import click

from assistant.bench.acoustic.store import default_cache
from assistant.bench.decision_fit.hearing import Case, read_cases
from assistant.bench.decision_fit.regression import calibration_error, log_loss, reliability
from assistant.bench.decision_fit.stages import (
    Bars,
    Extra,
    Model,
    Stage,
    answered,
    fitted_on,
    is_weighed,
    on_others,
    right,
)
from assistant.bench.run_command import run_command
from assistant.errors import DataProblem
from assistant.hearing.decision import is_worth_asking
from assistant.hearing.evidence import Evidence
from assistant.hearing.evidence import Reading as Said

_WRITTEN = click.Path(path_type=Path, dir_okay=False)
_FILE = click.argument("file", type=_WRITTEN)
_ALONE, _TOGETHER = (0.97, 0.98, 0.985, 0.99, 0.995), (0.9, 0.93, 0.95, 0.97)
_FEWEST = 40


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
def decision_fit() -> None:
    """The probability by which the ears answer, ask or ignore."""


@decision_fit.command()
@_FILE
@click.option("--times", type=click.IntRange(min=1), default=1, show_default=True)
@click.option("--cache", type=click.Path(path_type=Path), help="Where speech is kept.")
@click.option("--first", type=click.IntRange(min=0), default=0, help="Begin with this trial,")
@click.option("--every", type=click.IntRange(min=1), default=1, help="and hear each so-manieth.")
def hear(file: Path, times: int, cache: Path | None, first: int, every: int) -> None:
    """Hear some 260 × TIMES trials in voices that no network heard with the ears as they are."""
    from assistant.bench.acoustic.desk import open_bench_desk  # noqa: PLC0415 - help starts at once
    from assistant.bench.decision_fit.hearing import hear as heard  # noqa: PLC0415 - the same
    from assistant.bench.decision_fit.trials import decision_plan  # noqa: PLC0415 - the same

    desk = open_bench_desk()
    plan = decision_plan(desk, times)
    plan = replace(plan, trials=plan.trials[first::every])
    cases = heard(desk, plan, cache or default_cache(os.environ), file)
    with click.progressbar(cases, length=len(plan.trials)) as shown:
        count = sum(1 for _ in shown)
    click.echo(f"{count} trials in {file}")


@decision_fit.command()
@click.argument("files", type=_WRITTEN, nargs=-1, required=True)
def fit(files: tuple[Path, ...]) -> None:
    """Fit on the trials in FILES; print the coefficients, and how far they can be trusted.

    All tables but the coefficients are of speakers that the regression was not fitted on: each half
    of them is tried with what was fitted on the other half.
    """
    heard = [case for file in files for case in read_cases(file)]
    cases = [case for case in heard if is_weighed(case)]
    if len(cases) < _FEWEST:
        raise DataProblem(f"There are {len(cases)} trials to weigh.", f"Hear {_FEWEST} or more.")
    click.echo(f"{len(heard)} trials, {len(cases)} of them weighed, {right(cases).sum()} right\n")
    for stage in Stage:
        _show_stage(stage, cases)
    _show_bars(heard, cases)
    _show_unheard(heard)


def _show_stage(stage: Stage, cases: Sequence[Case]) -> None:
    model = Model(stage)
    weights = fitted_on(model, cases)
    named = ", ".join(f"{n} {w:.2f}" for n, w in zip(model.terms, weights, strict=True))
    click.echo(f"{stage}: {named}")
    click.echo("probability       trials   promised       kept")
    bins = reliability(on_others(model, cases), right(cases))
    for one in bins:
        span = f"{one.least:g} to {one.most:g}"
        click.echo(f"{span:15} {one.count:8} {one.promised:10.3f} {one.kept:10.3f}")
    click.echo(f"expected calibration error {calibration_error(bins):.3f}; further terms:")
    for extras in ((), (Extra.PRIOR,), (Extra.SNR,), tuple(Extra)):
        richer = Model(stage, extras)
        sure = on_others(richer, cases)
        error = calibration_error(reliability(sure, right(cases)))
        own = fitted_on(richer, cases)[len(model.terms) :]
        terms = ", ".join(f"{n} {w:.2f}" for n, w in zip(extras, own, strict=True)) or "none"
        click.echo(f"  {terms}: error {error:.3f}, loss {log_loss(sure, right(cases)):.4f}")
    click.echo()


def _show_bars(heard: Sequence[Case], cases: Sequence[Case]) -> None:
    """What becomes of all requests and talk at several bars."""
    sure = {stage: on_others(Model(stage), cases) for stage in Stage}
    asked = sum(_is_request(case) for case in heard)
    click.echo(f"alone  together   right of {asked} requests   WRONG, of all {len(heard)}")
    for bars in (Bars(*pair) for pair in product(_ALONE, _TOGETHER)):
        given = [
            case
            for at, case in enumerate(cases)
            if answered(case, {stage: float(sure[stage][at]) for stage in Stage}, bars)
        ]
        good = sum(case.phones.right and _is_request(case) for case in given)
        wrong = sum(not case.phones.right for case in given)
        click.echo(f"{bars.alone:5g}  {bars.together:8g}   {good:8}   {wrong:19}")


def _show_unheard(heard: Sequence[Case]) -> None:
    """What the writing ear makes of what the ear for phones leaves unheard."""
    left = [case for case in heard if not case.cut_off and not is_weighed(case)]
    clear = [case for case in left if is_worth_asking(_as_evidence(case))]
    wanted = sum(_is_request(case) for case in left)
    good = sum(case.written.right for case in clear)
    talk = sum(not _is_request(case) for case in clear)
    click.echo(
        f"\nleft unheard: {len(left)}, {wanted} of them requests; the writing ear asks about "
        f"{len(clear)}: {good} right, {talk} of {len(left) - wanted} of talk"
    )


def _as_evidence(case: Case) -> Evidence:
    """The writing ear's evidence, as far as its lead and its strain go."""
    own = case.written
    if not own.words:
        return Evidence((), case.seconds)
    said = (Said(own.words, 0.0, 1.0), Said("", -own.margin, 0.0))
    return Evidence(said, case.seconds, "", own.strain * (case.seconds + 0.5))


def _is_request(case: Case) -> bool:
    return case.kind in {"dose", "control"}


def main() -> int:
    """Run the command; an error becomes two lines and its exit code."""
    return run_command(decision_fit)
