"""The tables of a run, as text that is also Markdown; every share with its 95 % interval."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from assistant.bench.acoustic.goals import CLEAN, Row, goals, is_mild
from assistant.bench.acoustic.intervals import Rate, Share, bound_of, quantile, verdict
from assistant.bench.acoustic.records import DOSES, Kind
from assistant.bench.acoustic.scoring import (
    Fate,
    Result,
    Tally,
    calibration_error,
    reliability,
    tallies,
)


@dataclass(frozen=True, slots=True)
class Load:
    """What the process that hears held, in MiB."""

    before: float
    peak: float


def report(results: Sequence[Result], load: Load | None) -> str:
    """All tables of a run."""
    blocks = [
        ["## Goals", "", *_goal_table(goals(results))],
        ["## Dose requests", "", *_dose_table(_dose_rows(results))],
        ["## By voice, clean to 10 dB", "", *_dose_table(_by_voice(results))],
        ["## By the way the weight is said, clean to 10 dB", "", *_dose_table(_by_style(results))],
        ["## What asks for no dose", "", *_other_table(results)],
        ["## Commands", "", *_command_table(results)],
        ["## Confidence of the ear, words at face value", "", *_reliability_lines(results)],
        ["## Time and memory", "", *_load_lines(results, load)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _goal_table(rows: Iterable[Row]) -> Iterator[str]:
    yield "| | measured | n | 95 % bound | goal | |"
    yield "|---|---:|---:|---:|---:|---|"
    for row in rows:
        amount = f"{row.measured.count}/{row.measured.of}" if isinstance(
            row.measured, Share
        ) else f"{row.measured.count} in {row.measured.hours:.2f} h"  # fmt: skip
        yield (
            f"| {row.name} | {_value(row.measured, row.measured.value)} | {amount} | "
            f"{_value(row.measured, bound_of(row.measured, row.goal))} | "
            f"{row.goal.side} {_value(row.measured, row.goal.value)} | "
            f"{verdict(row.measured, row.goal)} |"
        )


def _value(measured: Share | Rate, value: float) -> str:
    if math.isnan(value):
        return "–"
    return percent(value) if isinstance(measured, Share) else f"{value:.2f}/h"


def percent(value: float) -> str:
    """A share in percent, with as many places as small ones need."""
    if math.isnan(value):
        return "–"
    return f"{100 * value:.2f} %" if 0 < value < 0.0995 else f"{100 * value:.1f} %"  # noqa: PLR2004 - below 10 %


def _dose_rows(results: Sequence[Result]) -> list[Tally]:
    doses = [one for one in results if one.kind is Kind.DOSE]
    said_so = Tally("said otherwise", tuple(one for one in results if one.kind is Kind.OTHERWISE))
    mild = Tally("all, clean to 10 dB", tuple(filter(is_mild, doses)))
    by_level = tallies(
        (one for one in doses if one.snr_db is not None), lambda one: f"all, {one.snr_db:g} dB"
    )
    return [Tally("all", tuple(doses)), mild, *by_level, *_by_condition(doses), said_so]


def _by_condition(doses: Iterable[Result]) -> list[Tally]:
    return tallies(doses, lambda one: one.condition)


def _by_voice(results: Iterable[Result]) -> list[Tally]:
    found = tallies((one for one in results if _counts(one)), lambda one: one.voice)
    return sorted(found, key=lambda row: row.name)


def _by_style(results: Iterable[Result]) -> list[Tally]:
    found = tallies((one for one in results if _counts(one)), lambda one: one.style)
    return sorted(found, key=lambda row: row.name)


def _counts(result: Result) -> bool:
    return result.kind is Kind.DOSE and is_mild(result)


def _dose_table(rows: Iterable[Tally]) -> Iterator[str]:
    yield (
        "| | n | right | asked | WRONG | 95 % of WRONG | other command | ignored | "
        "right after one question | WRONG in the end | error in volume, median and most |"
    )
    yield "|---|" + "---:|" * 10
    for row in rows:
        if row.results:
            yield _dose_line(row)


def _dose_line(row: Tally) -> str:
    wrong = row.share(Fate.WRONG)
    low, high = wrong.interval
    errors = row.volume_errors()
    sizes = f"{percent(quantile(errors, 0.5))}, {percent(max(errors))}" if errors else "–"
    return (
        f"| {row.name} | {len(row.results)} | {percent(row.share(Fate.RIGHT).value)} | "
        f"{percent(row.share(Fate.ASKED).value)} | {percent(wrong.value)} | "
        f"{percent(low)} – {percent(high)} | {percent(row.share(Fate.COMMAND).value)} | "
        f"{percent(row.share(Fate.IGNORED).value)} | "
        f"{percent(row.in_the_end(Fate.RIGHT).value)} | "
        f"{percent(row.in_the_end(Fate.WRONG).value)} | {sizes} |"
    )


def _other_table(results: Sequence[Result]) -> Iterator[str]:
    yield (
        "| | n | hours | answered | upper 95 % | an hour (95 %) | "
        "other command | given | asked | ignored |"
    )
    yield "|---|" + "---:|" * 9
    quiet = [one for one in results if one.kind not in DOSES and one.kind is not Kind.CONTROL]
    for row in tallies(quiet, lambda one: one.kind.value):
        yield _other_line(row)
    for row in tallies((o for o in quiet if o.kind is Kind.NOISE), lambda one: f"- {one.noise}"):
        yield _other_line(row)


def _other_line(row: Tally) -> str:
    wrong, rate = row.share(Fate.WRONG), row.false_an_hour()
    low, high = rate.interval
    return (
        f"| {row.name} | {len(row.results)} | {rate.hours:.2f} | {percent(wrong.value)} | "
        f"{percent(wrong.interval[1])} | {rate.value:.1f} ({low:.1f} – {high:.1f}) | "
        f"{percent(row.share(Fate.COMMAND).value)} | {row.taken_for('given').count} | "
        f"{percent(row.share(Fate.ASKED).value)} | {percent(row.share(Fate.IGNORED).value)} |"
    )


def _command_table(results: Sequence[Result]) -> Iterator[str]:
    yield "| | n | right | lower 95 % | answered | other command | given | asked | ignored |"
    yield "|---|" + "---:|" * 8
    commands = [one for one in results if one.kind is Kind.CONTROL]
    rows = [Tally("all", tuple(commands)), *tallies(commands, _loudness)]
    rows += sorted(tallies(commands, lambda one: one.meaning.split()[0]), key=lambda row: row.name)
    for row in filter(lambda row: row.results, rows):
        right = row.share(Fate.RIGHT)
        yield (
            f"| {row.name} | {right.of} | {percent(right.value)} | "
            f"{percent(right.interval[0])} | {percent(row.share(Fate.WRONG).value)} | "
            f"{percent(row.share(Fate.COMMAND).value)} | {row.taken_for('given').count} | "
            f"{percent(row.share(Fate.ASKED).value)} | {percent(row.share(Fate.IGNORED).value)} |"
        )


def _reliability_lines(results: Sequence[Result]) -> Iterator[str]:
    """How far the ear's confidence can be believed, and what it would do without a decision."""
    bins = reliability(results)
    yield "| confidence | n | mean | right | 95 % |"
    yield "|---|---:|---:|---:|---:|"
    for one in bins:
        low, high = one.right.interval
        yield (
            f"| {one.low:.1f} – {one.high:.1f} | {one.right.of} | {one.confidence:.3f} | "
            f"{percent(one.right.value)} | {percent(low)} – {percent(high)} |"
        )
    yield ""
    yield f"- expected calibration error {calibration_error(bins):.3f}"
    yield from _face_lines(results)


def _face_lines(results: Sequence[Result]) -> Iterator[str]:
    doses = [one for one in results if one.kind is Kind.DOSE]
    for name, chosen in (("clean", [o for o in doses if o.condition == CLEAN]), ("all", doses)):
        fates = [one.at_face_value for one in chosen]
        right, wrong = (Share(fates.count(fate), len(fates)) for fate in (Fate.RIGHT, Fate.WRONG))
        yield (
            f"- dose requests, {name}, had the words been typed: {percent(right.value)} right, "
            f"{percent(wrong.value)} WRONG (of {right.of})"
        )
    for kind in (Kind.CHATTER, Kind.BIRD_TALK, Kind.NOISE):
        fates = [one.at_face_value for one in results if one.kind is kind]
        share = Share(fates.count(Fate.WRONG), len(fates))
        yield f"- {kind.value}, had the words been typed: {percent(share.value)} answered"


def _loudness(result: Result) -> str:
    return f"{result.snr_db:g} dB" if result.snr_db is not None else CLEAN


def _load_lines(results: Sequence[Result], load: Load | None) -> Iterator[str]:
    speech = [one for one in results if one.kind is not Kind.NOISE]
    yield from _times("speech", speech)
    yield from _times("noise", [one for one in results if one.kind is Kind.NOISE])
    if speech:
        yield "- decision after the sound of an utterance has ended:"
        yield f"  - by processor time, one core: {_spread([one.latency_cpu_s for one in speech])}"
        yield f"  - by the clock, as the machine was: {_spread([one.latency_s for one in speech])}"
    if load is not None:
        yield (
            f"- resident memory of the process that hears: {load.peak:.0f} MiB at most, "
            f"{load.before:.0f} MiB before its ears were opened"
        )


def _spread(seconds: Sequence[float]) -> str:
    return (
        f"median {1000 * quantile(seconds, 0.5):.0f} ms, 95th percentile "
        f"{1000 * quantile(seconds, 0.95):.0f} ms, most {1000 * max(seconds):.0f} ms"
    )


def _times(name: str, results: Sequence[Result]) -> Iterator[str]:
    sound = sum(one.seconds for one in results)
    if not sound:
        return
    worst = max(results, key=lambda one: one.cpu_s / one.seconds)
    yield (
        f"- {name}: {sound / 3600:.2f} h of sound; real-time factor "
        f"{sum(one.cpu_s for one in results) / sound:.3f} by processor time, "
        f"{sum(one.busy_s for one in results) / sound:.3f} by the clock; at worst "
        f"{worst.cpu_s / worst.seconds:.2f} on {worst.seconds:.0f} s of "
        f"{worst.condition} ({worst.text or 'no speech'})"
    )
