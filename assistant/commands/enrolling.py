"""`dosewren enrol`: twenty phrases read out, what they show, and what is kept of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import click

from assistant.adapters.ears.fitting_variants import Spoken, fitting_variants
from assistant.adapters.ears.reading_level import Level, measure_level
from assistant.adapters.home.hearing_file import Enrolled, HearingSettings, write_hearing
from assistant.adapters.home.kept_recordings import Kept
from assistant.adapters.sound.recordings import read_recording
from assistant.adapters.system_clock import SystemClock
from assistant.adapters.talk.reading_aloud import read_aloud
from assistant.audio import Clip
from assistant.commands.judging import Judge, Judged
from assistant.commands.talking import LISTENING
from assistant.conversation.labelling import Label, Sort
from assistant.conversation.speech import speakable
from assistant.errors import DataProblem, EngineUnavailable
from assistant.hearing.choosing import Fate
from assistant.hearing.enrolment import Answer, ToRead, Trouble, phrases, trouble
from assistant.hearing.evidence import Evidence
from assistant.hearing.habit import Read, strain_habit
from assistant.language.meaning import meaning_in
from assistant.language.requests import DoseWanted
from assistant.language.understanding import understand
from assistant.ports import Ears
from assistant.wiring import (
    Desk,
    Earbox,
    kept_recordings,
    open_desk,
    open_devices,
    open_voice,
    which_ears,
    word_sounds,
)

_INTRODUCTION = (
    "Twenty phrases, about five minutes. Stand where you dose, hold the microphone as you will "
    "then, and read each phrase in your everyday voice. Nothing leaves this machine."
)


_TOO_MANY_WRONG = 6
"""From so many surely wrong ones on, other phrases were read: no voice tried had more than two."""


@dataclass(frozen=True, slots=True)
class Enrolling:
    """Where the phrases come from: a folder of recordings, or a microphone."""

    folder: Path | None = None
    microphone: str | None = None
    speaker: str | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What an enrolment found: each phrase's answer, the levels, and what is to be kept."""

    answers: tuple[Answer, ...]
    level: Level
    settings: HearingSettings


def list_phrases(home: str | None) -> None:
    """Print the phrases, numbered as their files are to be named."""
    for number, one in enumerate(phrases(open_desk(home).holding.aviary), start=1):
        click.echo(f"{number:02d}.wav  {one.text}")


def enrol(home: str | None, wanted: Enrolling) -> None:
    """Lead through the phrases, say how well they were heard, and keep what fits this voice."""
    desk = open_desk(home)
    to_read = phrases(desk.holding.aviary)
    clips = list(recorded(desk, to_read, wanted))
    click.echo("Listening to them again …")
    found = learn(desk, to_read, clips)
    for line in report(found, desk):
        click.echo(line)
    _must_be_these_phrases(found)
    write_hearing(desk.home.hearing_file, found.settings)
    click.echo(f"Written into {desk.home.hearing_file}; delete it to undo this.")
    if desk.holding.kit.keep_recordings:
        _keep(desk, found.answers, clips)


def recorded(desk: Desk, to_read: Sequence[ToRead], wanted: Enrolling) -> Iterator[Clip]:
    """The phrases as the folder has them, or as they are read before the microphone."""
    if wanted.folder is not None:
        for number in range(1, len(to_read) + 1):
            yield read_recording(wanted.folder / f"{number:02d}.wav")
        return
    microphone, speaker = open_devices(desk.holding.kit, wanted.microphone, wanted.speaker)
    voice = open_voice(desk.holding.kit)
    click.echo(_INTRODUCTION)

    def show(number: int, text: str, again: bool) -> None:  # noqa: FBT001 - what read_aloud hands over
        click.echo(f"{'Once more: ' if again else ''}{number} of {len(to_read)}: {text}")
        speaker.play(voice.render(speakable(f"Once more. {text}" if again else text)))
        click.echo(LISTENING)

    yield from read_aloud([one.text for one in to_read], microphone, show)


def learn(desk: Desk, to_read: Sequence[ToRead], clips: Sequence[Clip]) -> Outcome:
    """Hear every clip with the ears in use as they were before any enrolment."""
    plain = replace(desk.hearing, enrolled=None, variants={})
    box = Earbox(desk, hearing=plain)
    ears, judge = box.pair(which_ears(desk, None).pair), Judge(desk)
    strain = _strains(desk)
    answers, reads = [], []
    for phrase, clip in zip(to_read, clips, strict=True):
        judged = judge.judge(ears, clip, phrase.text)
        answers.append(_answer(desk, phrase, judged))
        reads.append(Read(strain(ears, phrase), is_wrong=judged.fate is Fate.WRONG))
    level = measure_level(clips)
    enrolled = Enrolled(
        strain_habit=strain_habit(reads),
        noise_db=level.noise_db,
        right=sum(one.fate is Fate.RIGHT for one in answers),
        phrases=len(answers),
        measured=SystemClock().now().date().isoformat(),
    )
    variants = _variants(desk, plain, answers, clips)
    settings = replace(desk.hearing, enrolled=enrolled, variants=variants)
    return Outcome(tuple(answers), level, settings)


def _must_be_these_phrases(found: Outcome) -> None:
    """Recordings of an older list, say, would teach it the wrong words."""
    wrong = sum(one.fate is Fate.WRONG for one in found.answers)
    if wrong >= _TOO_MANY_WRONG:
        raise DataProblem(
            f"{wrong} recordings were clearly heard as other phrases. Nothing was written.",
            "The list changes with your birds: see dosewren enrol --list, and record it anew.",
        )


def _strains(desk: Desk) -> Callable[[Ears, ToRead], float | None]:
    """Gives the strain of the last utterance where its likeliest reading was what was read."""
    meaning = meaning_in(desk.lexicon)

    def strain(ears: Ears, phrase: ToRead) -> float | None:
        evidence = getattr(ears, "evidence", None)
        if not isinstance(evidence, Evidence) or not evidence.readings:
            return None
        right = meaning(evidence.readings[0].words) == meaning(phrase.text)
        return evidence.strain if right else None

    return strain


def _answer(desk: Desk, phrase: ToRead, judged: Judged) -> Answer:
    match understand(judged.heard.words, desk.lexicon).requests:
        case (DoseWanted() as wanted,):
            return Answer(phrase, judged.fate, judged.heard.words, wanted)
    return Answer(phrase, judged.fate, judged.heard.words)


def _variants(
    desk: Desk, plain: HearingSettings, answers: Sequence[Answer], clips: Sequence[Clip]
) -> dict[str, tuple[str, ...]]:
    """The pronunciations that fit, by the phrases that were surely heard rightly."""
    read = [
        Spoken(one.phrase.text, clip)
        for one, clip in zip(answers, clips, strict=True)
        if one.fate is Fate.RIGHT
    ]
    try:
        return dict(fitting_variants(word_sounds(desk, plain).ours, read))
    except EngineUnavailable:
        # without that engine there is nothing to choose for
        return {}


def report(found: Outcome, desk: Desk) -> Iterator[str]:
    """What a keeper is told: how well it hears, what to avoid, and the microphone."""
    counts = {fate: sum(one.fate is fate for one in found.answers) for fate in Fate}
    yield (
        f"Heard right at once: {counts[Fate.RIGHT]} of {len(found.answers)}. Asked about: "
        f"{counts[Fate.ASKED]}. Not heard: {counts[Fate.MISSED]}. Wrong: {counts[Fate.WRONG]}."
    )
    for one in found.answers:
        if one.fate is not Fate.RIGHT:
            heard = f"heard as “{one.heard}”" if one.heard else "not heard"
            yield f"  {one.fate.value}: “{one.phrase.text}”, {heard}"
    yield from _avoid(trouble(found.answers, desk.holding.aviary))
    yield from found.level.advice or ("The microphone is neither too loud, too quiet nor noisy.",)
    yield _bar(found, counts[Fate.WRONG])


def _avoid(found: Trouble) -> Iterator[str]:
    if found.names:
        yield (
            f"Not heard well: {', '.join(found.names)}. Use another name: an alias in birds.toml, "
            "or write how you say it into pronunciations.dict. Typing always works."
        )
    if found.numbers:
        said = "; ".join(
            f"{one.grams} as {replace(one, figures=True).number}" for one in found.numbers
        )
        yield f"Say numbers like these figure by figure: {said}."


def _bar(found: Outcome, wrong: int) -> str:
    enrolled = found.settings.enrolled
    if wrong:
        return "Something was clearly heard wrong, so it goes on asking as often as before."
    if enrolled is None or enrolled.strain_habit == 0:
        return "Your voice needs no allowance: it asks as often as before."
    return (
        f"Your voice gets an allowance of {enrolled.strain_habit:.1f} (at most 1.5): where both "
        "ears hear the same, it asks less often. A doubtful number is still asked about."
    )


def _read_out(text: str, file: str) -> tuple[Label]:
    return (Label(file, text, Sort.READ),)


def _keep(desk: Desk, answers: Sequence[Answer], clips: Sequence[Clip]) -> None:
    store = kept_recordings(desk)
    for one, clip in zip(answers, clips, strict=True):
        found = Kept("", "", one.heard, 1.0, f"enrolment: {one.fate.value}")
        store.keep(clip, SystemClock().now(), found, partial(_read_out, one.phrase.text))
    click.echo(f"The recordings are kept in {store.folder}.")
