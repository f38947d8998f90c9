"""All trials of a part at a size: who says what under which condition, settled beforehand."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import cycle, islice

from assistant.bench.acoustic import recorded
from assistant.bench.acoustic.chance import generator, pick, shuffled
from assistant.bench.acoustic.chatter import bird_talk, chatter, sentences
from assistant.bench.acoustic.desk import BenchDesk
from assistant.bench.acoustic.parts import Declared, Size, declared
from assistant.bench.acoustic.phrases import Speech
from assistant.bench.acoustic.records import Condition, Kind, Part, Phrase, Trial, Voice
from assistant.bench.acoustic.voices import JOINED, RECORDING, is_here

CLEAN = Condition()

SLOWEST_ENGINES = frozenset({"piper", "festival", "kokoro"})
"""Left out of background talk, where they would cost more time than they add."""

_TALKERS = 120
_MOST_PAIRS = 2000
_PIECE_S = 10.0
_LONG_EVERY = 9
_LONG_S = 30.0
_CUTS = (0.25, 0.8)


@dataclass(frozen=True, slots=True)
class Plan:
    """The trials, who is heard in the background, and which voices are not on this machine."""

    trials: tuple[Trial, ...]
    talkers: tuple[tuple[Voice, str], ...]
    missing: tuple[str, ...]


def plan(desk: BenchDesk, part: Part, size: Size, kinds: Collection[Kind]) -> Plan:
    """The trials of these kinds at this size, the same wherever the voices are.

    Each kind is drawn by itself, so leaving one out changes nothing about the others.
    """
    return plan_of(desk, declared(part), size, kinds)


def plan_of(desk: BenchDesk, parts: Declared, size: Size, kinds: Collection[Kind]) -> Plan:
    """The same for a part that is declared otherwise than in parts.toml."""
    here = tuple(voice for voice in parts.voices if is_here(voice))
    absent = [voice.key for voice in parts.voices if voice not in here]
    if parts.part is Part.TEST:
        absent += recorded.missing()
    maker = _Maker(Speech(desk, parts), here, size)
    trials = tuple(
        replace(trial, number=number)
        for kind in Kind
        if kind in kinds
        for number, trial in enumerate(maker.trials(kind))
    )
    return Plan(trials, talkers(parts, here), tuple(absent))


def talkers(parts: Declared, here: Sequence[Voice]) -> tuple[tuple[Voice, str], ...]:
    """Who talks in the background: voices of this part, and recorded people in the test part."""
    chance = generator(f"talkers {parts.part}")
    voices = [v for v in here if v.engine not in SLOWEST_ENGINES and v.engine != JOINED]
    voices = voices or [v for v in declared(parts.part).voices if v.engine == "espeak"]
    lines = shuffled(chance, [line for source in parts.talk for line in sentences(source)])
    found = list(zip(cycle(voices), lines[:_TALKERS], strict=False)) if voices else []
    if "recorded" in parts.talk:
        found += [(Voice(RECORDING, str(path)), "") for path in recorded.talk()]
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Maker:
    """Trials of one part, kind by kind; their numbers come later."""

    speech: Speech
    voices: tuple[Voice, ...]
    size: Size

    @property
    def _parts(self) -> Declared:
        return self.speech.declared

    def trials(self, kind: Kind) -> Iterator[Trial]:
        """All trials of a kind."""
        match kind:
            case Kind.DOSE:
                return self._doses()
            case Kind.OTHERWISE:
                return self._otherwise()
            case Kind.NOISE:
                return self._noise()
        return self._others(kind)

    def _doses(self) -> Iterator[Trial]:
        conditions = [*self._dose_conditions()]
        pairs = cycle(self._pairs(min(len(conditions), _MOST_PAIRS), Kind.DOSE))
        for condition, (phrase, voice) in zip(conditions, pairs, strict=False):
            yield self._trial(phrase, voice, condition)

    def _otherwise(self) -> Iterator[Trial]:
        mild = cycle([CLEAN, *self._noisy((20,)), CLEAN])
        for phrase, voice in self._pairs(self.size.otherwise, Kind.OTHERWISE):
            yield self._trial(phrase, voice, next(mild))

    def _dose_conditions(self) -> Iterator[Condition]:
        size, parts = self.size, self._parts
        counts: Mapping[Condition, int] = {
            CLEAN: size.doses_clean,
            **{
                one: count for snr_db, count in size.noisy.items() for one in self._noisy((snr_db,))
            },
            **{Condition(room=room): size.doses_room for room in parts.rooms},
            **{Condition(fault=fault): size.doses_fault for fault in parts.faults},
        }
        for condition, count in counts.items():
            yield from [condition] * count

    def _noisy(self, snrs: Sequence[float]) -> Iterator[Condition]:
        for snr in snrs:
            for kind in self._noises():
                yield Condition(noise=kind, snr_db=snr)

    def _noises(self) -> list[str]:
        return [kind for kind in self._parts.noises if kind != "birds" or recorded.bird_calls()]

    def _pairs(self, count: int, kind: Kind) -> list[tuple[Phrase, Voice]]:
        """Phrases with voices in turn; a recorded person gets what the recordings can say."""
        phrases = self.speech.doses(kind)
        waiting: list[Phrase] = []
        pairs = []
        for voice in islice(cycle(self.voices), count):
            phrase = waiting.pop() if waiting and voice.engine != JOINED else next(phrases)
            while voice.engine == JOINED and not recorded.can_say(phrase.weight):
                waiting.append(phrase)
                phrase = next(phrases)
            pairs.append((phrase, voice))
        return shuffled(generator(f"pairs {self._parts.part} {kind}"), pairs)

    def _others(self, kind: Kind) -> Iterator[Trial]:
        """Half of them clean, the rest in the part's noises at 20 and 10 dB."""
        chance = generator(f"{kind} {self._parts.part}")
        noisy = [*self._noisy((20, 10))]
        conditions = [*noisy, *[CLEAN] * len(noisy)]
        plain = [voice for voice in self.voices if voice.engine != JOINED]
        for phrase, voice in self._said(kind):
            recorded_too = kind is Kind.WEIGHT_ONLY and recorded.can_say(phrase.weight)
            own = voice or pick(chance, self.voices if recorded_too else plain)
            yield self._trial(phrase, own, pick(chance, conditions))

    def _said(self, kind: Kind) -> Iterator[tuple[Phrase, Voice | None]]:
        """The phrases of a kind, with a voice where only one can say it."""
        size, speech = self.size, self.speech
        phrases: Iterator[Phrase]
        match kind:
            case Kind.CONTROL:
                phrases = islice(cycle(speech.controls()), size.control)
            case Kind.WEIGHT_ONLY:
                phrases = islice(speech.weights_alone(), size.weight_only)
            case Kind.CUT_OFF:
                phrases = islice(self._cut_off(), size.cut_off)
            case Kind.BIRD_TALK:
                phrases = iter(bird_talk(speech, size.bird_talk))
            case _:
                return iter(chatter(speech.desk, self._parts, size.chatter))
        return ((phrase, None) for phrase in phrases)

    def _cut_off(self) -> Iterator[Phrase]:
        chance = generator(f"cuts {self._parts.part}")
        for phrase in self.speech.doses():
            end = pick(chance, ("tail", "head"))
            style = f"{end} {chance.uniform(*_CUTS):.2f}"
            yield replace(phrase, kind=Kind.CUT_OFF, style=style)

    def _noise(self) -> Iterator[Trial]:
        """Noise alone, piece by piece; every ninth piece is long, since a search may run away."""
        left = self.size.noise_seconds
        for count, kind in enumerate(cycle(self._noises())):
            if left <= 0:
                return
            seconds = min(left, _LONG_S if count % _LONG_EVERY == 0 else _PIECE_S)
            silent = Phrase(Kind.NOISE, "", style=kind)
            yield Trial(self._parts.part, 0, silent, None, Condition(noise=kind), seconds)
            left -= seconds

    def _trial(self, phrase: Phrase, voice: Voice, condition: Condition) -> Trial:
        return Trial(self._parts.part, 0, phrase, voice, condition)
