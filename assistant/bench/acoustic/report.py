"""The tables of a run, as text that is also Markdown; every share with its 95 % interval."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from assistant.bench.acoustic.records import DOSES, Kind
from assistant.bench.acoustic.scoring import (
    Fate,
    Goal,
    Rate,
    Result,
    Share,
    Side,
    Tally,
    bound_of,
    quantile,
    tallies,
    verdict,
)

CLEAN = "clean"


@dataclass(frozen=True, slots=True)
class Load:
    """What the process that hears held, in MiB."""

    before: float
    peak: float


@dataclass(frozen=True, slots=True)
class Row:
    """A goal of the project with what was measured for it."""

    name: str
    measured: Share | Rate
    goal: Goal


def report(results: Sequence[Result], load: Load | None) -> str:
    """All tables of a run."""
    blocks = [
        ["## Goals", "", *_goal_table(goals(results))],
        ["## Dose requests", "", *_dose_table(_dose_rows(results))],
        ["## By voice, clean to 10 dB", "", *_dose_table(_by_voice(results))],
        ["## By the way the weight is said, clean to 10 dB", "", *_dose_table(_by_style(results))],
        ["## What asks for no dose", "", *_other_table(results)],
        ["## Commands", "", *_command_table(results)],
        ["## Time and memory", "", *_load_lines(results, load)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def goals(results: Sequence[Result]) -> list[Row]:
    """The project's goals beside what was measured."""
    doses = [one for one in results if one.kind is Kind.DOSE]
    mild = Tally("", tuple(one for one in doses if is_mild(one)))
    clean = Tally("", tuple(one for one in doses if one.condition == CLEAN))
    at = {snr: Tally("", tuple(one for one in doses if one.snr_db == snr)) for snr in (5.0, 10.0)}
    good = Tally("", tuple(one for one in doses if one.snr_db in (15.0, 20.0)))
    kinds = {kind: Tally("", tuple(one for one in results if one.kind is kind)) for kind in Kind}
    control, noise = kinds[Kind.CONTROL], kinds[Kind.NOISE]
    talk = Tally("", (*kinds[Kind.CHATTER].results, *kinds[Kind.BIRD_TALK].results))
    most, least = Side.AT_MOST, Side.AT_LEAST
    return [
        Row("WRONG, clean to 10 dB", mild.share(Fate.WRONG), Goal(most, 0.005)),
        Row("WRONG at 5 dB", at[5.0].share(Fate.WRONG), Goal(most, 0.01)),
        Row("right at once, clean", clean.share(Fate.RIGHT), Goal(least, 0.95)),
        Row("asked, clean", clean.share(Fate.ASKED), Goal(most, 0.08)),
        Row("right at once, 15 to 20 dB", good.share(Fate.RIGHT), Goal(least, 0.88)),
        Row("right after a question, 10 dB", at[10.0].in_the_end(Fate.RIGHT), Goal(least, 0.9)),
        Row("WRONG in the end, clean to 10 dB", mild.in_the_end(Fate.WRONG), Goal(most, 0.005)),
        Row("chatter answered", kinds[Kind.CHATTER].share(Fate.WRONG), Goal(most, 0.001)),
        Row("talk of birds answered", kinds[Kind.BIRD_TALK].share(Fate.WRONG), Goal(most, 0.001)),
        Row("talk and noise taken for given", _given(talk, noise), Goal(most, 0.0)),
        Row("answered an hour of noise", noise.false_an_hour(), Goal(most, 0.0)),
        Row("commands right", control.share(Fate.RIGHT), Goal(least, 0.95)),
        Row("commands answered", control.share(Fate.WRONG), Goal(most, 0.0)),
        Row("weight alone answered", kinds[Kind.WEIGHT_ONLY].share(Fate.WRONG), Goal(most, 0.0)),
        Row("cut off, answered", kinds[Kind.CUT_OFF].share(Fate.WRONG), Goal(most, 0.0)),
    ]


def _given(talk: Tally, noise: Tally) -> Share:
    return Tally("", (*talk.results, *noise.results)).taken_for("given")


def is_mild(result: Result) -> bool:
    """Whether a trial belongs to the row from clean to 10 dB: no fault, no room of its own."""
    if result.condition == CLEAN:
        return True
    return result.snr_db is not None and result.snr_db >= 10  # noqa: PLR2004 - the row's own name


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


def _loudness(result: Result) -> str:
    return f"{result.snr_db:g} dB" if result.snr_db is not None else CLEAN


def _load_lines(results: Sequence[Result], load: Load | None) -> Iterator[str]:
    speech = [one for one in results if one.kind is not Kind.NOISE]
    latencies = [one.latency_s for one in speech]
    yield from _times("speech", speech)
    yield from _times("noise", [one for one in results if one.kind is Kind.NOISE])
    if latencies:
        yield (
            f"- decision after the sound of an utterance has ended: median "
            f"{1000 * quantile(latencies, 0.5):.0f} ms, 95th percentile "
            f"{1000 * quantile(latencies, 0.95):.0f} ms, most {1000 * max(latencies):.0f} ms"
        )
    if load is not None:
        yield (
            f"- resident memory of the process that hears: {load.peak:.0f} MiB at most, "
            f"{load.before:.0f} MiB before its ears were opened"
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
