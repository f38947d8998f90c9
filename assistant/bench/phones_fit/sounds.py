"""How what is said reaches the microphone while the network is fitted: rooms, noise, faults."""

from __future__ import annotations

import numpy as np

from assistant.audio import EAR_RATE_HZ
from assistant.bench.acoustic.chance import pick
from assistant.bench.acoustic.mixing import (
    HISS,
    SPEECH_LEVEL,
    Room,
    in_room,
)
from assistant.bench.acoustic.noises import noise
from assistant.bench.acoustic.parts import declared
from assistant.bench.acoustic.plan import SLOWEST_ENGINES
from assistant.bench.acoustic.records import Part
from assistant.bench.acoustic.sound import Wave, decibels, resampled, speech_level
from assistant.bench.acoustic.textures import coloured_by
from assistant.bench.acoustic.voices import speech
from assistant.bench.phones_fit.recipe import Recipe

_AFTER_OVERLOAD = 0.9
_QUIETEST = 1e-6


class Surroundings:
    """All that changes a sound on its way, drawn anew each time; raises EngineUnavailable."""

    def __init__(
        self, recipe: Recipe, sentences: tuple[str, ...], chance: np.random.Generator
    ) -> None:
        self._recipe = recipe
        self._chance = chance
        own = declared(Part.DEVELOPMENT).voices
        quick = [voice for voice in own if voice.engine not in SLOWEST_ENGINES]
        self._talk = [
            speech(pick(chance, quick), pick(chance, sentences)) for _ in range(recipe.talkers)
        ]

    def take(self, spoken: Wave) -> Wave:
        """Clean speech as it is picked up, with what is before and after it."""
        chance = self._chance
        if (room := self._drawn("room")) is not None:
            spoken = in_room(spoken, Room(room["lingers_s"], room["loudness"]), chance)
        spoken = spoken / max(speech_level(spoken), _QUIETEST) * SPEECH_LEVEL
        before, after = (
            np.zeros(int(chance.uniform(*self._recipe.around_s) * EAR_RATE_HZ)) for _ in range(2)
        )
        wave = np.concatenate([before, spoken, after])
        if (drawn := self._drawn("noise")) is not None:
            level = SPEECH_LEVEL / decibels(drawn["snr_db"])
            kind = pick(chance, self._recipe.noises)
            wave = wave + level * noise(kind, chance, len(wave), self._somebody)
        return self._faulty(wave)

    def _faulty(self, wave: Wave) -> Wave:
        """What the microphone and the way behind it do to the sound."""
        if (colour := self._drawn("colour")) is not None:
            wave = coloured_by(self._chance, wave, colour["peak_db"])
        if (tilt := self._drawn("tilt")) is not None:
            wave = wave + tilt["amount"] * np.concatenate([[0.0], wave[:-1]])
        wave = wave + HISS * self._chance.standard_normal(len(wave))
        if (overload := self._drawn("overload")) is not None:
            wave = np.clip(wave * decibels(overload["db"]), -1.0, 1.0) * _AFTER_OVERLOAD
        if (narrow := self._drawn("narrow")) is not None:
            rate_hz = narrow["rate_hz"]
            wave = resampled(resampled(wave, EAR_RATE_HZ, rate_hz), rate_hz)[: len(wave)]
        return wave

    def _drawn(self, name: str) -> dict[str, float] | None:
        """What is drawn for a change, where it happens this time."""
        change = self._recipe.changes[name]
        if self._chance.uniform() >= change.share:
            return None
        return {key: float(self._chance.uniform(*span)) for key, span in change.spans.items()}

    def _somebody(self, chance: np.random.Generator) -> Wave:
        return pick(chance, self._talk)
