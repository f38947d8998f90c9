"""The project's goals for its ears, each with what a run measured for it; pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.bench.acoustic.intervals import Goal, Rate, Share, Side
from assistant.bench.acoustic.records import AS_RECORDED, Kind
from assistant.bench.acoustic.scoring import Fate, Result, Tally

CLEAN = "clean"
"""The condition without noise, room or fault, as results name it."""

_MILD = frozenset({CLEAN, AS_RECORDED})


@dataclass(frozen=True, slots=True)
class Row:
    """A goal of the project with what was measured for it."""

    name: str
    measured: Share | Rate
    goal: Goal


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
    if result.condition in _MILD:
        return True
    return result.snr_db is not None and result.snr_db >= 10  # noqa: PLR2004 - the row's own name
