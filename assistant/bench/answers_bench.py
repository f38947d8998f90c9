"""What listening for an answer is worth: `python -m assistant.bench.answers_bench`.

A conversation is brought to a question by typing; then the same sound is heard twice, under the
whole grammar and with what is expected there.  Half of what is said answers the question.  The
other half does not: a weight that was not on offer, a new bird, talk about birds and other talk,
none of which may become an answer.  Voices, noises, names and weights are those of the acoustic
bench's development part.
"""

from __future__ import annotations

import os
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import cycle, islice
from pathlib import Path

import click

from assistant.adapters.register.nothing import NoRegister
from assistant.adapters.system_clock import SystemClock
from assistant.audio import Clip
from assistant.bench.acoustic.chance import generator, pick
from assistant.bench.acoustic.chatter import bird_talk, chatter
from assistant.bench.acoustic.desk import BenchDesk, open_bench_desk
from assistant.bench.acoustic.ears import opener
from assistant.bench.acoustic.keeper import figures
from assistant.bench.acoustic.parts import declared
from assistant.bench.acoustic.phrases import Speech
from assistant.bench.acoustic.plan import CLEAN, talkers
from assistant.bench.acoustic.records import Condition, Part, Phrase, Trial
from assistant.bench.acoustic.sound import to_clip
from assistant.bench.acoustic.store import Store, default_cache
from assistant.bench.acoustic.voices import is_here
from assistant.bench.run_command import run_command
from assistant.conversation.turn import Status
from assistant.hearing.choosing import Fate
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Alternative, Channel, Heard
from assistant.language.meaning import meaning_in
from assistant.language.numerals import words
from assistant.ports import Ears
from assistant.session import Session

ENDS = ("given", "part given", "not given", "don't know", "it all went in", "wrong bird")
YES_NO = ("yes", "no", "correct", "that's right", "yes please", "wrong")
SNR_DB = 10.0


@dataclass(frozen=True, slots=True)
class Scene:
    """What is typed to come to a question, and what is then spoken; talk is for nobody."""

    row: str
    before: tuple[Heard, ...]
    phrase: Phrase
    is_talk: bool = False


@click.command()
@click.option("--count", default=12, show_default=True, help="Utterances in each row, half noisy.")
@click.option("--row", "only", multiple=True, help="Only rows that begin so.")
@click.option("--ears", "ears_name", default="usual", show_default=True)
@click.option("--show", is_flag=True, help="Each utterance that did not come out right.")
@click.option("--cache", type=click.Path(path_type=Path), help="Where sound is kept.")
def main(count: int, only: Sequence[str], ears_name: str, **wanted: object) -> None:
    """Print for each kind of utterance what became of it without and with an expectation."""
    desk = open_bench_desk()
    folder = wanted["cache"] if isinstance(wanted["cache"], Path) else default_cache(os.environ)
    hearer = Hearer(desk, opener(ears_name)(desk.desk, {}), folder, show=bool(wanted["show"]))
    click.echo(
        "| said | n | right | asked | not heard | WRONG | s each |\n|---|---|---|---|---|---|---|"
    )
    for row, made in ROWS.items():
        if not only or row.startswith(tuple(only)):
            scenes = list(islice(made(desk, row), count))
            for line in hearer.lines(row, scenes):
                click.echo(line)


def _typed(*texts: str) -> tuple[Heard, ...]:
    return tuple(Heard(text) for text in ("yes", *texts))


def _phrases(desk: BenchDesk) -> Iterator[Phrase]:
    return Speech(desk, declared(Part.DEVELOPMENT)).doses()


def _weights(desk: BenchDesk, row: str) -> Iterator[Scene]:
    """The weight that was asked for."""
    for one in _phrases(desk):
        yield Scene(row, _typed(one.bird), replace(one, text=one.weight))


def _between(desk: BenchDesk, row: str) -> Iterator[Scene]:
    """One of two weights on offer, figure by figure or as it was said first; or neither."""
    chance = generator("answers between")
    for number, one in enumerate(_phrases(desk)):
        if one.truth is None:
            continue
        others = [one.truth.grams + pick(chance, (1, 2, 5, 10, -1, -2, -5, -10)) for _ in range(2)]
        neither = row.startswith("neither")
        first = others[0] if neither else one.truth.grams
        if min(*others, first) <= 0 or first == others[1]:
            continue
        rival = Alternative(f"{one.bird} {words(others[1])} grams", 0.4)
        said = f"{one.bird} {words(first)} grams"
        heard = Heard(said, 0.5, (rival,), Channel.VOICE, "typed", doubtful=True)
        text = figures(one, one.truth) if number % 2 else one.weight
        yield Scene(row, (*_typed(), heard), replace(one, text=text, weight=text))


def _confirmed(desk: BenchDesk, row: str) -> Iterator[Scene]:
    for one, text in zip(_phrases(desk), cycle(YES_NO), strict=False):
        yield Scene(row, _typed(f"{one.bird} about {one.weight}"), replace(one, text=text))


def _ended(desk: BenchDesk, row: str) -> Iterator[Scene]:
    for one, text in zip(_phrases(desk), cycle(ENDS), strict=False):
        yield Scene(row, _typed(one.text), replace(one, text=text))


def _put_right(desk: BenchDesk, row: str) -> Iterator[Scene]:
    for one in _phrases(desk):
        yield Scene(row, _typed(one.text), replace(one, text=f"no {one.weight}"))


def _next(desk: BenchDesk, row: str) -> Iterator[Scene]:
    """A whole new request where an answer was expected."""
    phrases, places = _phrases(desk), cycle(_places)
    for one, other, place in zip(phrases, phrases, places, strict=False):
        yield Scene(row, place(one), other)


def _talk(desk: BenchDesk, row: str) -> Iterator[Scene]:
    """Talk that is for nobody, where an answer was expected."""
    part, many = declared(Part.DEVELOPMENT), 400
    about_birds = bird_talk(Speech(desk, part), many)
    others = [phrase for phrase, voice in chatter(desk, part, many) if voice is None]
    said = cycle(about_birds if row.endswith("birds") else others)
    for one, phrase, place in zip(_phrases(desk), said, cycle(_places), strict=False):
        yield Scene(row, place(one), phrase, is_talk=True)


_places: tuple[Callable[[Phrase], tuple[Heard, ...]], ...] = (
    lambda one: _typed(one.bird),
    lambda one: _typed(one.text),
    lambda one: _typed(f"{one.bird} about {one.weight}"),
)

ROWS: dict[str, Callable[[BenchDesk, str], Iterator[Scene]]] = {
    "weight asked for": _weights,
    "one of two weights": _between,
    "neither of two weights": _between,
    "yes or no": _confirmed,
    "end of a dose": _ended,
    "no, another weight": _put_right,
    "a new bird instead": _next,
    "talk about birds": _talk,
    "other talk": _talk,
}


class Hearer:
    """Ears at the bench's desk, with the voices and noises of development."""

    def __init__(self, desk: BenchDesk, ears: Ears, folder: Path, *, show: bool) -> None:
        part = declared(Part.DEVELOPMENT)
        self._desk, self._ears, self._show = desk, ears, show
        self._meaning = meaning_in(desk.lexicon)
        self._voices = tuple(voice for voice in part.voices if is_here(voice))
        self._noises = tuple(part.noises)
        self._store = Store(folder, {Part.DEVELOPMENT: talkers(part, self._voices)})

    def lines(self, row: str, scenes: Sequence[Scene]) -> Iterator[str]:
        """Two lines of the table, without an expectation and with one."""
        clips = [self._clip(number, scene) for number, scene in enumerate(scenes)]
        for how in ("whole", "expected"):
            fates: Counter[Fate] = Counter()
            took = 0.0
            for scene, clip in zip(scenes, clips, strict=True):
                session = self._session(scene)
                expected = session.expected if how == "expected" else ANYTHING
                began = time.process_time()
                heard = self._hear(clip, expected)
                took += time.process_time() - began
                fate = self._fate(scene, heard, session)
                fates[fate] += 1
                if self._show and fate is not Fate.RIGHT:
                    click.echo(f"<!-- {how}: {scene.phrase.text}: {fate}, {heard.words} -->")
            counts = " | ".join(str(fates[fate]) for fate in Fate)
            yield f"| {row}, {how} | {len(scenes)} | {counts} | {took / len(scenes):.2f} |"

    def _clip(self, number: int, scene: Scene) -> Clip:
        """Every other one clean, the rest in the noises in turn."""
        noise = self._noises[number // 2 % len(self._noises)]
        condition = Condition(noise, SNR_DB) if number % 2 else CLEAN
        voice = self._voices[number * 3 % len(self._voices)]
        trial = Trial(Part.DEVELOPMENT, number, scene.phrase, voice, condition)
        return to_clip(self._store.audio(trial).wave)

    def _session(self, scene: Scene) -> Session:
        setting = replace(self._desk.setting, one_shot=False)
        session = Session(setting, NoRegister(), SystemClock())
        for heard in scene.before:
            session.hear(heard)
        return session

    def _hear(self, clip: Clip, expected: Expected) -> Heard:
        self._ears.begin(expected)
        self._ears.feed(clip)
        return self._ears.finish()

    def _fate(self, scene: Scene, heard: Heard, session: Session) -> Fate:
        turn = session.hear(heard)
        if turn.status is Status.IGNORED:
            return Fate.RIGHT if scene.is_talk else Fate.MISSED
        if heard.doubtful:
            return Fate.ASKED
        alike = self._meaning(heard.words) == self._meaning(scene.phrase.text)
        return Fate.RIGHT if alike and not scene.is_talk else Fate.WRONG


if __name__ == "__main__":
    sys.exit(run_command(main))
