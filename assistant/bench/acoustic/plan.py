"""All trials of a part at a size: who says what under which condition, settled beforehand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
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

SLOWEST_ENGINES = frozenset({"piper", "festival"})
"""Left out of background talk, where they would cost more time than they add."""

_TALKERS = 120
_MOST_PAIRS = 2000
_PIECE_S = 10.0
_LONG_S = 30.0
_CUTS = (0.25, 0.8)


@dataclass(frozen=True, slots=True)
class Plan:
    """The trials, who is heard in the background, and which voices are not on this machine."""

    trials: tuple[Trial, ...]
    talkers: tuple[tuple[Voice, str], ...]
    missing: tuple[str, ...]


def plan(desk: BenchDesk, part: Part, size: Size) -> Plan:
    """Everything that a run of this size goes through, the same wherever the voices are."""
    parts = declared(part)
    here = tuple(voice for voice in parts.voices if is_here(voice))
    absent = [voice.key for voice in parts.voices if voice not in here]
    if part is Part.TEST:
        absent += recorded.missing()
    maker = _Maker(Speech(desk, parts), here, size)
    made = [*maker.doses(), *maker.others(), *maker.noise()]
    trials = tuple(replace(trial, number=number) for number, trial in enumerate(made))
    return Plan(trials, talkers(parts, here), tuple(absent))


def talkers(parts: Declared, here: Sequence[Voice]) -> tuple[tuple[Voice, str], ...]:
    """Who talks in the background: voices of this part, and recorded people in the test part."""
    chance = generator(f"talkers {parts.part}")
    voices = [v for v in here if v.engine not in SLOWEST_ENGINES and v.engine != JOINED]
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

    def doses(self) -> Iterator[Trial]:
        conditions = [*self._dose_conditions()]
        pairs = cycle(self._pairs(min(len(conditions), _MOST_PAIRS), Kind.DOSE))
        for condition, (phrase, voice) in zip(conditions, pairs, strict=False):
            yield self._trial(phrase, voice, condition)
        mild = cycle([CLEAN, *self._noisy((20,)), CLEAN])
        for phrase, voice in self._pairs(self.size.otherwise, Kind.OTHERWISE):
            yield self._trial(phrase, voice, next(mild))

    def _dose_conditions(self) -> Iterator[Condition]:
        size, parts = self.size, self._parts
        counts: Mapping[Condition, int] = {
            CLEAN: size.doses_clean,
            **dict.fromkeys(self._noisy(size.snrs), size.doses_noisy),
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
            if voice.engine == JOINED:
                phrase = next(p for p in phrases if _parts_recorded(p))
            else:
                phrase = waiting.pop() if waiting else next(phrases)
            pairs.append((phrase, voice))
        return shuffled(generator(f"pairs {self._parts.part} {kind}"), pairs)

    def others(self) -> Iterator[Trial]:
        size, parts = self.size, self._parts
        chance = generator(f"others {parts.part}")
        plain = [voice for voice in self.voices if voice.engine != JOINED]
        mixed = [CLEAN, *self._noisy((20, 10)), *[CLEAN] * (2 * len(self._noises()))]
        for phrase in islice(cycle(self.speech.controls()), size.control):
            yield self._trial(phrase, pick(chance, plain), pick(chance, mixed))
        for phrase in islice(self.speech.weights_alone(), size.weight_only):
            sayable = recorded.can_say(phrase.weight)
            voices = self.voices if sayable else plain
            yield self._trial(phrase, pick(chance, voices), pick(chance, mixed))
        for phrase in islice(self.speech.doses(), size.cut_off):
            end = pick(chance, ("tail", "head"))
            cut = replace(phrase, kind=Kind.CUT_OFF, style=f"{end} {chance.uniform(*_CUTS):.2f}")
            yield self._trial(cut, pick(chance, plain), pick(chance, mixed))
        for phrase, voice in chatter(self.speech.desk, parts, size.chatter):
            yield self._trial(phrase, voice or pick(chance, plain), pick(chance, mixed))
        for phrase in bird_talk(self.speech, size.bird_talk):
            yield self._trial(phrase, pick(chance, plain), pick(chance, mixed))

    def noise(self) -> Iterator[Trial]:
        """Noise alone, piece by piece; every eighth piece is long, since a search may run away."""
        left = self.size.noise_seconds
        for count, kind in enumerate(cycle(self._noises())):
            if left <= 0:
                return
            seconds = min(left, _LONG_S if count % 8 == 7 else _PIECE_S)  # noqa: PLR2004 - every eighth
            silent = Phrase(Kind.NOISE, "", style=kind)
            yield Trial(self._parts.part, 0, silent, None, Condition(noise=kind), seconds)
            left -= seconds

    def _trial(self, phrase: Phrase, voice: Voice, condition: Condition) -> Trial:
        return Trial(self._parts.part, 0, phrase, voice, condition)


def _parts_recorded(phrase: Phrase) -> bool:
    return recorded.can_say(phrase.weight)
