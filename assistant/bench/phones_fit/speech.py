"""The speech to fit on, made and handed to the frozen encoder; what it makes of it is kept.

A shard is an .npz: `states` (all frames of all utterances, one after the other, × 288, float16),
`lens` (the frames of each), `text` and `voice`.  No sound is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.ears.moonshine_model import SpeechModel
from assistant.adapters.ears.neural_sound import levelled  # what is fitted on is what the ear hears
from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.desk import BenchDesk
from assistant.bench.acoustic.records import Voice
from assistant.bench.acoustic.sound import Wave, to_clip
from assistant.bench.acoustic.voices import ENGINES, is_here, speech
from assistant.bench.phones_fit.recipe import Recipe, draw_voice
from assistant.bench.phones_fit.sounds import Surroundings
from assistant.bench.phones_fit.texts import Texts
from assistant.bench.phones_fit.throats import Throats
from assistant.errors import EngineUnavailable

_FAILURES = 20
"""So many utterances of a shard may fail to be spoken; a program now and then chokes on a word."""


@dataclass(frozen=True, slots=True)
class Shard:
    """Which speech: the same seed, number and count give the same on the same machine."""

    seed: int
    number: int
    count: int

    @property
    def name(self) -> str:
        """The file's name."""
        return f"speech-{self.seed}-{self.number:03d}-{self.count}.npz"


@dataclass(frozen=True, slots=True)
class Utterance:
    """What the encoder makes of something said, with its text and its voice."""

    states: NDArray[np.float16]
    text: str
    voice: str


def make_shard(shard: Shard, folder: Path, parts: tuple[BenchDesk, SpeechModel, Recipe]) -> Path:
    """Write the shard where it is not there yet; raises EngineUnavailable for a missing voice."""
    target = folder / shard.name
    if target.exists():
        return target
    desk, model, recipe = parts
    _need_voices(recipe)
    made = list(islice(utterances(shard, desk, model, recipe), shard.count))
    unfinished = target.with_suffix(".part")
    with unfinished.open("wb") as out:
        np.savez(
            out,
            states=np.concatenate([one.states for one in made]),
            lens=np.array([len(one.states) for one in made]),
            text=np.array([one.text for one in made]),
            voice=np.array([one.voice for one in made]),
        )
    unfinished.replace(target)
    return target


def utterances(
    shard: Shard, desk: BenchDesk, model: SpeechModel, recipe: Recipe
) -> Iterator[Utterance]:
    """The shard's utterances, and more of the same without end."""
    chance = generator(f"phones fit {shard.seed} {shard.number}")
    texts = Texts(desk, recipe, shard.number)
    around = Surroundings(recipe, texts.sentences, chance)
    say = _patient(_FAILURES)
    while True:
        text, (voice, takes) = texts.draw(chance), draw_voice(recipe, chance)
        spoken = say(voice, text)
        least, most = recipe.spoken_s
        if spoken is None or not least <= len(spoken) / EAR_RATE_HZ <= most:
            continue
        throats = Throats(spoken, recipe, chance)
        for _ in range(takes):
            taken, warp = throats.draw()
            wave = around.take(taken)
            samples = levelled(to_clip(wave).pcm)
            if samples is not None and len(wave) / EAR_RATE_HZ <= recipe.longest_s:
                states = model.encode(samples).states[0].astype(np.float16)
                yield Utterance(states, text, replace(voice, warp=warp).key)


def _patient(failures: int) -> Callable[[Voice, str], Wave | None]:
    """A way to speak that gives None for what could not be said, but not too often."""
    left = failures

    def say(voice: Voice, text: str) -> Wave | None:
        nonlocal left
        try:
            return speech(voice, text)
        except EngineUnavailable:
            left -= 1
            if left < 0:
                raise
            return None

    return say


def _need_voices(recipe: Recipe) -> None:
    for speakers in recipe.speakers:
        for name in speakers.names:
            if not is_here(Voice(speakers.engine, name)):
                raise EngineUnavailable(
                    f"The voice {speakers.engine} {name} is not on this machine.",
                    f"{ENGINES[speakers.engine].remedy} (docs/phone-head.md has the whole list)",
                )
