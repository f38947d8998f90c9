"""The one place that knows every adapter and puts them together.

Audio and speech libraries are imported only by the functions that need them, so that text mode
loads none of them.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from assistant.adapters.grammar_file import grammar_text
from assistant.adapters.home import Holding, Home, locate
from assistant.adapters.register import SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.conversation.state import Dosed, Setting
from assistant.dosing.kit import Kit
from assistant.errors import EngineUnavailable, RegisterProblem
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.lexicon import Lexicon, build
from assistant.ports import Ears, Speaker
from assistant.session import Session

if TYPE_CHECKING:
    from assistant.adapters.devices import SystemMicrophone
    from assistant.adapters.kept_recordings import KeptRecordings
    from assistant.adapters.portaudio import Device
    from assistant.adapters.voice import EspeakVoice

GRAMMAR = "dosewren.jsgf"
PRONUNCIATIONS = "pronunciations.dict"
USUAL_RATE_WPM = 165
"""How fast the voice speaks where the kit does not say, in words a minute."""

_SEED = 0
"""Which sentences a phrase-list engine is shown: the same ones each time."""


@dataclass(frozen=True)
class Desk:
    """A keeper's home opened: its files read, its register at hand, its words in the grammar."""

    home: Home
    holding: Holding
    register: SqliteRegister
    lexicon: Lexicon

    def engine_grammar(self, unheard: frozenset[str]) -> EngineGrammar:
        """The grammar for an ear that cannot hear the words in `unheard`."""
        return self.lexicon.engine_grammar(unheard)

    def phrase_grammar(self, unheard: frozenset[str]) -> EngineGrammar:
        """The same with the phrases for an engine that takes a list of them."""
        chance = Random(_SEED)  # noqa: S311 - it picks sample sentences, the same ones each time
        return self.lexicon.engine_grammar(unheard, chance.randrange)

    def session(self, *, one_shot: bool = False) -> Session:
        """A conversation of its own."""
        setting = Setting(
            lexicon=self.lexicon,
            kit=self.holding.kit,
            medicines=self.holding.medicines,
            usual=self.holding.usual_medicine,
            round_id=uuid.uuid4().hex[:12],
            one_shot=one_shot,
        )
        return Session(setting, self.register, SystemClock(), self._dosed())

    def _dosed(self) -> Mapping[tuple[str, str], Dosed] | None:
        """The last full doses; None where the register cannot be read, which the session says."""
        try:
            last = self.register.last_doses()
        except RegisterProblem:
            return None
        return {
            key: Dosed(kept.ended_at or kept.said.at, kept.said.volume_ml)
            for key, kept in last.items()
        }


def open_home(given: str | None) -> Home:
    """The keeper's home, from the option, the environment or the default."""
    return locate(given, os.environ)


def open_desk(given: str | None) -> Desk:
    """The keeper's home, read and checked; raises AssistantError with what to mend."""
    home = open_home(given)
    holding = home.holding()
    lexicon = build(grammar_text(GRAMMAR), holding.aviary, holding.medicines)
    return Desk(home, holding, SqliteRegister(home.register_file), lexicon)


def open_ears(desk: Desk, vosk_folder: Path | None) -> Ears:
    """The ears for the desk's grammar: Vosk where a model was given or found, else the embedded.

    The embedded ears are the neural one with pocketsphinx as a second opinion, or pocketsphinx
    alone where the neural model cannot be had.
    """
    model = find_vosk(desk, vosk_folder)
    if model is not None:
        from assistant.adapters.vosk_ears import open_vosk

        return open_vosk(model, desk.phrase_grammar)
    try:
        return _embedded(desk)
    except EngineUnavailable:
        return _pocketsphinx(desk)


def _embedded(desk: Desk) -> Ears:
    from assistant.adapters.moonshine_ears import meaning_in, open_moonshine
    from assistant.adapters.two_ears import TwoEars

    first = open_moonshine(desk.lexicon)
    return TwoEars(first, partial(_pocketsphinx, desk), meaning_in(desk.lexicon))


def _pocketsphinx(desk: Desk) -> Ears:
    from assistant.adapters.pocketsphinx_ears import open_pocketsphinx

    return open_pocketsphinx(desk.engine_grammar, pronunciations(desk))


def find_vosk(desk: Desk, given: Path | None) -> Path | None:
    """The folder of the Vosk model that was given or is found; None where there is none."""
    from assistant.adapters.vosk_models import find_vosk_model

    return find_vosk_model(desk.home.path, given, os.environ)


def pronunciations(desk: Desk) -> Mapping[str, Sequence[str]]:
    """How the words are said that the embedded engine's own dictionary lacks.

    Ours are written by hand; those of the keeper's own names come from espeak-ng, and without it
    the ear reports that it is deaf to them.
    """
    from assistant.adapters.espeak_phones import EspeakPhones
    from assistant.adapters.pocketsphinx_ears import PocketsphinxEars
    from assistant.adapters.pronunciations import parse_pronunciations

    by_hand = parse_pronunciations(grammar_text(PRONUNCIATIONS), PRONUNCIATIONS)
    words = desk.engine_grammar(frozenset()).words
    missing = PocketsphinxEars.unknown_words(words, by_hand)
    if not missing:
        return by_hand
    try:
        return {**by_hand, **EspeakPhones().missing_pronunciations(missing, by_hand)}
    except EngineUnavailable:
        return by_hand


def kept_recordings(desk: Desk) -> KeptRecordings:
    """The keeper's own recordings, whether more are being kept or not."""
    from assistant.adapters.kept_recordings import KeptRecordings

    return KeptRecordings(desk.home.recordings_folder, desk.holding.kit.recordings_mb)


def open_voice(kit: Kit) -> EspeakVoice:
    """The voice at the rate and in the accent that the kit names."""
    from assistant.adapters.voice import EspeakVoice

    return EspeakVoice(kit.voice_rate or USUAL_RATE_WPM, kit.voice)


def open_devices(microphone: str | None, speaker: str | None) -> tuple[SystemMicrophone, Speaker]:
    """The microphone and the speaker, by number or part of a name, else the default ones."""
    from assistant.adapters.devices import SystemMicrophone, SystemSpeaker

    return SystemMicrophone(_device(microphone)), SystemSpeaker(_device(speaker))


def list_sound_devices() -> Sequence[Device]:
    """Every sound device of the machine."""
    from assistant.adapters.portaudio import list_devices

    return list_devices()


def _device(named: str | None) -> str | int | None:
    return int(named) if named is not None and named.isdecimal() else named
