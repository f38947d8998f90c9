"""`dosewren measure`: how well the ears hear the keeper, by recordings of known text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import click

from assistant.adapters.home.hearing_file import ChosenEars, write_hearing
from assistant.adapters.home.labelled_recordings import MANIFEST, Labelled, read_labelled
from assistant.adapters.sound.recordings import read_recording
from assistant.adapters.system_clock import SystemClock
from assistant.audio import Clip
from assistant.commands.judging import Judge
from assistant.errors import EngineUnavailable, PartMissing
from assistant.hearing.choosing import ENOUGH, USUAL, Ear, Fate, Pair, Score, choose
from assistant.hearing.shares import Share
from assistant.ports import Ears
from assistant.wiring import Desk, Earbox, open_desk, which_ears

_PAIRS = (
    USUAL,
    Pair(Ear.NEURAL),
    Pair(Ear.POCKETSPHINX),
    Pair(Ear.NEURAL, Ear.VOSK),
    Pair(Ear.VOSK, Ear.NEURAL),
    Pair(Ear.VOSK, Ear.POCKETSPHINX),
)

_OWN_LABELS = (
    "Most of these texts are known because the ears in use heard them right, which flatters "
    "those ears. The twenty phrases of dosewren enrol do not."
)


def measure_ears(home: str | None, folder: Path | None, *, choose_them: bool) -> None:
    """Print the table of all ears at hand over labelled recordings, and which should be first."""
    desk = open_desk(home)
    recordings = _recordings(desk, folder)
    in_use = which_ears(desk, None).pair
    scores = list(_scores(desk, in_use, recordings))
    for line in table(scores):
        click.echo(line)
    if folder is None:
        click.echo(_OWN_LABELS)
    if len(recordings) < ENOUGH:
        click.echo(f"To choose ears by, it takes {ENOUGH} recordings; these are {len(recordings)}.")
        return
    best = choose(scores[0], scores[1:])
    click.echo(_advice(best, scores[0]))
    if choose_them:
        _write(desk, best)


def _recordings(desk: Desk, folder: Path | None) -> list[tuple[Labelled, Clip]]:
    where = folder or desk.home.recordings_folder
    if folder is None and not (where / MANIFEST).exists():
        raise PartMissing(
            "No recordings are kept yet.",
            "Write keep_recordings = true into kit.toml and talk, run dosewren enrol, or name a "
            "folder of recordings with a manifest.jsonl.",
        )
    labelled = read_labelled(where, some_gone=folder is None)
    found = [(one, read_recording(one.path)) for one in labelled]
    if not found:
        raise PartMissing(
            f"It is not known of any recording in {where} what was said.",
            "Say given after a dose, or correct what was misheard: that makes them known.",
        )
    return found


def _scores(
    desk: Desk, in_use: Pair, recordings: Sequence[tuple[Labelled, Clip]]
) -> Iterator[Score]:
    """The score of the ears in use, then of every other pair that can be opened."""
    judge, box = Judge(desk), Earbox(desk)
    for pair in dict.fromkeys((in_use, *_PAIRS)):
        ears = _opened(box, pair)
        if ears is None:
            continue
        fates = [judge.judge(ears, clip, one.text).fate for one, clip in recordings]
        yield Score(pair, tuple(fates))


def _opened(box: Earbox, pair: Pair) -> Ears | None:
    """The pair, or None where one of its engines is not there."""
    try:
        for ear in filter(None, (pair.first, pair.second)):
            box.one(ear)
        return box.pair(pair)
    except EngineUnavailable:
        return None


def table(scores: Sequence[Score]) -> Iterator[str]:
    """A line for each pair of ears, the ones in use first; shares with their 95 % intervals."""
    yield f"{len(scores[0].fates)} recordings; in brackets what chance leaves open (95 %)"
    yield f"{'ears':<24}" + "".join(f"{fate.value:>20}" for fate in Fate)
    for number, score in enumerate(scores):
        name = f"{score.pair.name}{' *' if number == 0 else ''}"
        yield f"{name:<24}" + "".join(f"{_shown(score.share(fate)):>20}" for fate in Fate)
    yield "* in use.  asked: a question came first.  WRONG: answered as something else."


def _shown(share: Share) -> str:
    low, high = share.interval
    return f"{share.count}  {share.value:.0%} ({low:.0%}–{high:.0%})"


def _advice(best: Score, in_use: Score) -> str:
    if best.pair == in_use.pair:
        return f"Stay with {best.pair.name}: no other ears were clearly better."
    return (
        f"{best.pair.first.value} should be first: {best.pair.name} did better than "
        f"{in_use.pair.name}. To use it: dosewren measure --choose"
    )


def _write(desk: Desk, best: Score) -> None:
    today = SystemClock().now().date().isoformat()
    chosen = ChosenEars(best.pair, len(best.fates), today)
    write_hearing(desk.home.hearing_file, replace(desk.hearing, ears=chosen))
    click.echo(f"Written into {desk.home.hearing_file}: {best.pair.name} from now on.")
