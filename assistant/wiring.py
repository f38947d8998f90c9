"""The one place that knows every adapter and puts them together.

Audio and speech libraries are imported only by the functions that need them, so that text mode
loads none of them.
"""

from __future__ import annotations

import os
import threading
import uuid
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from assistant.adapters.ears.pronunciations import (
    WordSounds,
    dictionary_pronunciations,
    fitting,
    own_pronunciations,
    parse_pronunciations,
)
from assistant.adapters.home.folder import Holding, Home, locate
from assistant.adapters.home.grammar_file import GRAMMAR, PRONUNCIATIONS, grammar_text
from assistant.adapters.home.hearing_file import HearingSettings, read_hearing
from assistant.adapters.register.nothing import NoRegister
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.conversation.state import Setting
from assistant.dosing.kit import Kit
from assistant.dosing.tables import FigureProblems
from assistant.errors import EngineUnavailable
from assistant.hearing.choosing import USUAL, Ear, Pair
from assistant.hearing.decision import Second
from assistant.language.attention import attention_problems
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.expected import Expected, Fit
from assistant.language.lexicon import Lexicon, build
from assistant.language.narrowing import fit_of
from assistant.language.shaping import for_fine_ears, words_of
from assistant.ports import Ears, Speaker
from assistant.session import Session

if TYPE_CHECKING:
    from assistant.adapters.ears.kept_graphs import KeptGraphs
    from assistant.adapters.ears.moonshine import MoonshineEars
    from assistant.adapters.ears.moonshine_model import SpeechModel
    from assistant.adapters.ears.phones import PhoneEars
    from assistant.adapters.home.kept_recordings import KeptRecordings
    from assistant.adapters.sound.devices import SystemMicrophone
    from assistant.adapters.sound.portaudio import Device
    from assistant.adapters.talk.voice import EspeakVoice

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
        """The whole grammar with the phrases for an engine that takes a list of them."""
        chance = Random(_SEED)  # noqa: S311 - it picks sample sentences, the same ones each time
        return self.lexicon.engine_grammar(unheard, chance.randrange)

    def fit(self, words: str, expected: Expected) -> Fit:
        """How well words fit what is expected."""
        return fit_of(words, expected, self.lexicon)

    @cached_property
    def hearing(self) -> HearingSettings:
        """What was measured of the keeper's voice, or nothing; raises DataProblem."""
        return read_hearing(self.home.hearing_file)

    def session(self, *, one_shot: bool = False) -> Session:
        """A conversation of its own."""
        setting = self._setting(one_shot=one_shot)
        return Session(setting, self.register, SystemClock())

    def rehearsal(self) -> Session:
        """A conversation about one phrase that is written nowhere."""
        return Session(self._setting(one_shot=True), NoRegister(), SystemClock())

    def _setting(self, *, one_shot: bool) -> Setting:
        return Setting(
            lexicon=self.lexicon,
            kit=self.holding.kit,
            medicines=self.holding.medicines,
            usual=self.holding.usual_medicine,
            round_id=uuid.uuid4().hex[:12],
            one_shot=one_shot,
        )


def open_home(given: str | None) -> Home:
    """The keeper's home, from the option, the environment or the default."""
    return locate(given, os.environ)


def open_desk(given: str | None) -> Desk:
    """The keeper's home, read and checked; raises AssistantError with what to mend."""
    home = open_home(given)
    holding = home.holding()
    attention = holding.kit.attention
    needles = holding.kit.needles
    lexicon = build(grammar_text(GRAMMAR), holding.aviary, holding.medicines, attention, needles)
    if problems := attention_problems(attention, lexicon, str(home.kit_file)):
        raise FigureProblems(problems)
    return Desk(home, holding, SqliteRegister(home.register_file), lexicon)


def open_ears(desk: Desk, vosk_folder: Path | None, *, ahead: bool = False) -> Ears:
    """The ears for the desk's grammar: those that `which_ears` names.

    With `ahead` those that are asked in doubt are opened meanwhile, by a thread.
    """
    ears = Earbox(desk, vosk_folder).pair(which_ears(desk, vosk_folder).pair)
    if ahead:
        from assistant.adapters.ears.careful import CarefulEars

        if isinstance(ears, CarefulEars):
            threading.Thread(target=ears.open_others, daemon=True).start()
    return ears


@dataclass(frozen=True, slots=True)
class EarsInUse:
    """Which ears are in use, and why, as a keeper is told."""

    pair: Pair
    why: str


def which_ears(desk: Desk, vosk_folder: Path | None) -> EarsInUse:
    """A Vosk model that is named comes first; else what recordings chose; else the usual ears."""
    if vosk_folder is not None:
        return EarsInUse(Pair(Ear.VOSK, Ear.NEURAL), "you named a Vosk model")
    chosen = desk.hearing.ears
    if chosen is None:
        return EarsInUse(USUAL, "the usual ones; dosewren measure compares others")
    wanted = (chosen.pair.first, chosen.pair.second)
    if Ear.VOSK in wanted and find_vosk(desk, None) is None:
        return EarsInUse(USUAL, "the usual ones: Vosk was chosen, but its model is gone")
    return EarsInUse(
        chosen.pair, f"chosen by {chosen.recordings} of your recordings on {chosen.measured}"
    )


class Earbox:
    """The ears of a desk, each engine opened once, when it is first wanted.

    `hearing` is what they are to know of the keeper's voice, where not what the home has.
    """

    def __init__(
        self, desk: Desk, vosk_folder: Path | None = None, hearing: HearingSettings | None = None
    ) -> None:
        self._desk = desk
        self._vosk_folder = vosk_folder
        self._hearing = hearing or desk.hearing
        # the second ear reads this in the middle of a round: a mistake in it is told now
        own_pronunciations(desk.home.pronunciations_file)
        self._opened: dict[Ear, Ears] = {}

    def pair(self, wanted: Pair) -> Ears:
        """A pair of ears; without the neural model pocketsphinx alone stands in for it.

        Raises EngineUnavailable where the other engines cannot be had.
        """
        if wanted.first is not Ear.NEURAL:
            return self._agreeing(wanted)
        from assistant.adapters.ears.careful import CarefulEars
        from assistant.language.meaning import meaning_in

        try:
            first = self.phones
        except EngineUnavailable:
            return self.one(Ear.POCKETSPHINX)
        others: dict[Second, Callable[[], Ears]] = {Second.WRITING: lambda: self.writing}
        if wanted.second:
            others[Second.OTHER] = partial(self.one, wanted.second)
        meaning = meaning_in(self._desk.lexicon)
        return CarefulEars(first, others, meaning, strain_habit=self._hearing.strain_habit)

    def one(self, ear: Ear) -> Ears:
        """One engine by itself; raises EngineUnavailable."""
        if ear not in self._opened:
            self._opened[ear] = self._open(ear)
        return self._opened[ear]

    def _agreeing(self, wanted: Pair) -> Ears:
        first = self.one(wanted.first)
        if wanted.second is None:
            return first
        from assistant.adapters.ears.agreeing import AgreeingEars
        from assistant.language.meaning import meaning_in

        return AgreeingEars(first, self.one(wanted.second), meaning_in(self._desk.lexicon))

    @cached_property
    def _speech_model(self) -> SpeechModel:
        from assistant.adapters.ears.moonshine_model import SpeechModel

        return SpeechModel()

    @cached_property
    def writing(self) -> MoonshineEars:
        """The ear that writes; raises EngineUnavailable."""
        from assistant.adapters.ears.moonshine import MoonshineEars

        graph_of = self._kept_graphs.graph
        return MoonshineEars(self._speech_model, self._desk.lexicon, graph_of=graph_of)

    @cached_property
    def phones(self) -> PhoneEars:
        """The ear for phones; raises EngineUnavailable."""
        from assistant.adapters.ears.phone_head import packaged_head
        from assistant.adapters.ears.phones import PhoneEars

        said = self._word_sounds.together
        graph_of = self._kept_graphs.graph
        return PhoneEars(self._speech_model, packaged_head(), self._desk.lexicon, said, graph_of)

    @property
    def _kept_graphs(self) -> KeptGraphs:
        from assistant.adapters.ears.kept_graphs import KeptGraphs

        return KeptGraphs(self._desk.home.cache_folder)

    @cached_property
    def _word_sounds(self) -> WordSounds:
        return word_sounds(self._desk, self._hearing)

    def _open(self, ear: Ear) -> Ears:
        match ear:
            case Ear.NEURAL:
                return self.phones
            case Ear.POCKETSPHINX:
                from assistant.adapters.ears.pocketsphinx import open_pocketsphinx

                said = self._word_sounds.ours
                return open_pocketsphinx(self._desk.engine_grammar, said, self._desk.fit)
            case Ear.VOSK:
                return self._vosk()

    def _vosk(self) -> Ears:
        from assistant.adapters.ears.vosk import open_vosk

        model = find_vosk(self._desk, self._vosk_folder)
        if model is None:
            raise EngineUnavailable("There is no Vosk model.", "Run: dosewren fetch")

        def compile_without(unheard: frozenset[str]) -> EngineGrammar:
            if not self._desk.engine_grammar(unheard).words:
                raise EngineUnavailable(
                    f"The Vosk model {model} knows none of the words that are said here.",
                    "Use an English model.",
                )
            return self._desk.phrase_grammar(unheard)

        return open_vosk(model, compile_without, self._desk.fit)


def find_vosk(desk: Desk, given: Path | None) -> Path | None:
    """The folder of the Vosk model that was given or is found; None where there is none."""
    from assistant.adapters.ears.vosk_models import find_vosk_model

    return find_vosk_model(desk.home.path, given, os.environ)


def word_sounds(desk: Desk, hearing: HearingSettings | None = None) -> WordSounds:
    """How the words of the grammar are said, by ourselves and by the engines' dictionary.

    Ours are written by hand, the keeper's own in pronunciations.dict take their place; those of
    other names of the keeper's come from espeak-ng, and without it the ear reports that it is deaf
    to them.  Of several, only those that an enrolment found fitting are kept.
    """
    from assistant.adapters.ears.espeak_phones import EspeakPhones

    by_hand = {
        **parse_pronunciations(grammar_text(PRONUNCIATIONS), PRONUNCIATIONS),
        **own_pronunciations(desk.home.pronunciations_file),
    }
    variants = (hearing or desk.hearing).variants
    words = words_of(for_fine_ears(desk.lexicon.grammar))
    dictionary = dictionary_pronunciations(words)
    missing = words - by_hand.keys() - dictionary.keys()
    made: Mapping[str, Sequence[str]] = {}
    if missing:
        with suppress(EngineUnavailable):
            made = EspeakPhones().missing_pronunciations(missing, by_hand)
    return WordSounds(fitting({**by_hand, **made}, variants), dictionary)


def kept_recordings(desk: Desk) -> KeptRecordings:
    """The keeper's own recordings, whether more are being kept or not."""
    from assistant.adapters.home.kept_recordings import KeptRecordings

    return KeptRecordings(desk.home.recordings_folder, desk.holding.kit.recordings_mb)


def open_voice(kit: Kit) -> EspeakVoice:
    """The voice at the rate and in the accent that the kit names."""
    from assistant.adapters.talk.voice import EspeakVoice

    return EspeakVoice(kit.voice_rate or USUAL_RATE_WPM, kit.voice)


def open_devices(
    kit: Kit, microphone: str | None, speaker: str | None
) -> tuple[SystemMicrophone, Speaker]:
    """The microphone and the speaker: those named, else those of the kit, else the default ones.

    Each is named by its number or by part of its name.
    """
    from assistant.adapters.sound.devices import SystemMicrophone, SystemSpeaker

    return SystemMicrophone(_device(microphone or kit.talk.microphone)), SystemSpeaker(
        _device(speaker or kit.talk.speaker)
    )


def list_sound_devices() -> Sequence[Device]:
    """Every sound device of the machine."""
    from assistant.adapters.sound.portaudio import list_devices

    return list_devices()


def _device(named: str | None) -> str | int | None:
    return int(named) if named is not None and named.isdecimal() else named
