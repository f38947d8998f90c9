"""What an enrolment gains a voice: `python -m assistant.bench.enrol_bench`.

The voice reads the twenty phrases in a noise, as a keeper would; then the ears hear other phrases
of the same voice, in the same noise, as they were before and as the enrolment left them.  Talk
about birds is heard too, since a lowered bar could let it through.  Names and weights are those of
the bench's development part; a voice or a noise of its test part is refused.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import click

from assistant.adapters.home.hearing_file import HearingSettings
from assistant.audio import Clip
from assistant.bench.acoustic.chatter import bird_talk
from assistant.bench.acoustic.desk import BenchDesk, open_bench_desk
from assistant.bench.acoustic.parts import declared, read_voice
from assistant.bench.acoustic.phrases import Speech
from assistant.bench.acoustic.plan import talkers
from assistant.bench.acoustic.records import Condition, Kind, Part, Phrase, Trial, Voice
from assistant.bench.acoustic.sound import to_clip
from assistant.bench.acoustic.store import Store, default_cache
from assistant.bench.acoustic.voices import is_here
from assistant.bench.run_command import run_command
from assistant.commands.enrolling import learn, report
from assistant.commands.judging import Judge
from assistant.errors import UsageProblem
from assistant.hearing.choosing import USUAL, Fate
from assistant.hearing.enrolment import phrases
from assistant.hearing.shares import Share
from assistant.wiring import Earbox

UNSEEN = "espeak en-029+f3 1.0 0.95"
"""A voice of neither part of the bench, from the Caribbean, with pitch and formants moved."""


@dataclass(frozen=True, slots=True)
class Place:
    """A voice in a noise, and where its sound is kept."""

    voice: Voice
    condition: Condition
    store: Store

    def clip(self, number: int, phrase: Phrase) -> Clip:
        """The phrase as it reaches the microphone, the same each time."""
        trial = Trial(Part.DEVELOPMENT, number, phrase, self.voice, self.condition)
        return to_clip(self.store.audio(trial).wave)


@click.command()
@click.option("--voice", "voices", multiple=True, default=(UNSEEN,), show_default=True)
@click.option("--noise", default="gusts", show_default=True, help="A noise of development.")
@click.option("--snr", type=float, default=15.0, show_default=True, help="In dB.")
@click.option("--count", default=60, show_default=True, help="Requests heard afterwards.")
@click.option("--talk", default=30, show_default=True, help="Sentences of talk heard afterwards.")
@click.option("--cache", type=click.Path(path_type=Path), help="Where sound is kept.")
def main(voices: Sequence[str], cache: Path | None, **wanted: object) -> None:
    """Print what each voice gains by its enrolment."""
    noise, snr = str(wanted["noise"]), float(str(wanted["snr"]))
    desk = open_bench_desk()
    for name in voices:
        place = _place(read_voice(name), Condition(noise, snr), cache)
        click.echo(f"\n## {name}, {noise} {snr:g} dB\n")
        _measure(desk, place, int(str(wanted["count"])), int(str(wanted["talk"])))


def _place(voice: Voice, condition: Condition, cache: Path | None) -> Place:
    part, test = declared(Part.DEVELOPMENT), declared(Part.TEST)
    if (voice.engine, voice.name) in {(one.engine, one.name) for one in test.voices}:
        raise UsageProblem(f"{voice.key} belongs to the test part.", "Name another voice.")
    if condition.noise not in part.noises:
        raise UsageProblem(
            f"{condition.noise} is no noise of the development part.",
            f"Noises: {', '.join(part.noises)}.",
        )
    here = tuple(one for one in part.voices if is_here(one))
    folder = cache or default_cache(os.environ)
    return Place(voice, condition, Store(folder, {Part.DEVELOPMENT: talkers(part, here)}))


def _measure(desk: BenchDesk, place: Place, count: int, talk: int) -> None:
    read = phrases(desk.lexicon.aviary)
    spoken = [Phrase(Kind.DOSE, one.text) for one in read]
    found = learn(desk.desk, read, [place.clip(-1 - n, one) for n, one in enumerate(spoken)])
    for line in report(found, desk.desk):
        click.echo(line)
    for word, ways in found.settings.variants.items():
        click.echo(f"pronunciations of {word}: {', '.join(ways)}")
    speech = Speech(desk, declared(Part.DEVELOPMENT))
    asked = list(islice(speech.doses(), count))
    others = bird_talk(speech, talk)
    click.echo("")
    for title, settings in (("before", HearingSettings()), ("after", found.settings)):
        click.echo(f"{title}: requests: {_heard(desk, place, settings, asked)}")
        click.echo(f"{title}: talk: {_heard(desk, place, settings, others)}")


def _heard(desk: BenchDesk, place: Place, settings: HearingSettings, said: Iterable[Phrase]) -> str:
    """The shares of each fate of what was said, with these settings."""
    ears, judge = Earbox(desk.desk, hearing=settings).pair(USUAL), Judge(desk.desk)
    fates = [
        judge.judge(ears, place.clip(number, one), one.text).fate for number, one in enumerate(said)
    ]
    return ", ".join(_shown(fate, Share(fates.count(fate), len(fates))) for fate in Fate)


def _shown(fate: Fate, share: Share) -> str:
    low, high = share.interval
    return f"{fate.value} {share.count}/{share.of} ({low:.0%}–{high:.0%})"


if __name__ == "__main__":
    sys.exit(run_command(main))
