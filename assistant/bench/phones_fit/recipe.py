"""The recipe of the speech, recipe.toml, read and held against the bench's test part."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import product
from typing import Any, TypeAlias

import numpy as np

from assistant.bench.acoustic.noises import MADE, TALKED
from assistant.bench.acoustic.parts import declared
from assistant.bench.acoustic.records import Part, Voice
from assistant.errors import DataProblem

Span: TypeAlias = tuple[float, float]

TEXTS = ("dose", "otherwise", "named_weight", "weight", "control", "sentence", "words")

CHANGES = ("throat", "room", "noise", "colour", "tilt", "overload", "narrow")

_SHARES_MISS = 1e-9


@dataclass(frozen=True, slots=True)
class Speakers:
    """Voices of one engine, all as likely, and the share of speech that is theirs."""

    engine: str
    share: float
    names: tuple[str, ...]
    takes: int
    """Each utterance reaches the microphone in so many ways, each time from another throat."""


@dataclass(frozen=True, slots=True)
class Change:
    """Something that happens to a share of the sounds, with the spans of what is drawn for it."""

    share: float
    spans: Mapping[str, Span]


@dataclass(frozen=True, slots=True)
class Recipe:
    """What is said, by whom, and how it reaches the microphone."""

    speakers: tuple[Speakers, ...]
    held_out: tuple[Speakers, ...]
    """Who says what is measured while the network is fitted, and never fitted on."""

    tempo: Span
    warp: Span
    texts: Mapping[str, float]
    spoken_s: Span
    longest_s: float
    around_s: Span
    changes: Mapping[str, Change]
    noises: tuple[str, ...]
    talkers: int


@cache
def recipe() -> Recipe:
    """The recipe as it is kept."""
    return read_recipe(
        files("assistant.bench.phones_fit").joinpath("recipe.toml").read_text("utf-8")
    )


def read_recipe(text: str) -> Recipe:
    """The recipe in a text; raises DataProblem where the test part or a wrong share is in it."""
    content = tomllib.loads(text)
    voices, sound, noise = content["voices"], content["sound"], content["noise"]
    read = Recipe(
        speakers=tuple(map(_speakers, voices["of"])),
        held_out=tuple(map(_speakers, voices["held_out"])),
        tempo=_span(voices["tempo"]),
        warp=_span(voices["warp"]),
        texts={name: content["texts"][name] for name in TEXTS},
        spoken_s=_span(sound["spoken_s"]),
        longest_s=sound["longest_s"],
        around_s=_span(sound["around_s"]),
        changes={name: _change(content[name]) for name in CHANGES},
        noises=tuple(noise["kinds"]),
        talkers=noise["talkers"],
    )
    _check(read)
    return read


def _speakers(table: Mapping[str, Any]) -> Speakers:
    names = product(table["names"], table.get("variants", [""]))
    return Speakers(table["engine"], table["share"], tuple(map("".join, names)), table["takes"])


def _change(table: Mapping[str, Any]) -> Change:
    spans = {
        name: _span(value)
        for name, value in table.items()
        if isinstance(value, list) and all(isinstance(one, int | float) for one in value)
    }
    return Change(table["share"], spans)


def _span(pair: Sequence[float]) -> Span:
    least, most = pair
    return float(least), float(most)


def _check(read: Recipe) -> None:
    for speakers in (*read.speakers, *read.held_out):
        for name in speakers.names:
            refuse_test_voice(speakers.engine, name)
    mixed = _tables(read.speakers) & (_tables(read.held_out) | _development_tables())
    if mixed:
        raise _fault(f"{', '.join(sorted(mixed))} would be fitted on, and measured with")
    strange = set(read.noises) - {*MADE, *TALKED} | set(read.noises) & set(
        declared(Part.TEST).noises
    )
    if strange:
        raise _fault(f"no noise to fit on: {', '.join(sorted(strange))}")
    for fault in declared(Part.TEST).faults:
        kind, _, amount = fault.partition(" ")
        spans = read.changes[kind].spans.values() if kind in read.changes else ()
        if any(least <= float(amount) <= most for least, most in spans):
            raise _fault(f"the test part's fault “{fault}” can be drawn")
    shared = [[one.share for one in of] for of in (read.speakers, read.held_out)]
    for shares in (*shared, read.texts.values()):
        if abs(sum(shares) - 1) > _SHARES_MISS:
            raise _fault(f"the shares {', '.join(map(str, shares))} do not add up to 1")


def _tables(of: Sequence[Speakers]) -> set[str]:
    """The voices of Kokoro: unlike those of other programs, some are kept unheard."""
    names = [name for one in of if one.engine == "kokoro" for name in one.names]
    return set().union(*map(_pieces, names))


def _development_tables() -> set[str]:
    voices = declared(Part.DEVELOPMENT).voices
    return set().union(*(_pieces(one.name) for one in voices if one.engine == "kokoro"))


def refuse_test_voice(engine: str, name: str) -> None:
    """Raise DataProblem where the acoustic bench measures with this speaker.

    An accent or a variant of espeak-ng is refused even in another pairing than the bench's, and a
    speaker also where another program speaks with that name.
    """
    *accent, _ = name.split("/")
    pieces = {engine, *accent, *_pieces(name)}
    mixed = pieces & _test_pieces()
    if mixed:
        raise _fault(f"“{engine} {name}” belongs to the test part ({', '.join(sorted(mixed))})")


@cache
def _test_pieces() -> frozenset[str]:
    """All engines that only the test part has, and all its speakers, accents and variants."""
    voices = declared(Part.TEST).voices
    engines = {one.engine for one in voices} - set(ENGINES)
    return frozenset(engines.union(*(_pieces(one.name) for one in voices)) - {""})


def _pieces(name: str) -> set[str]:
    *_, speaker = name.split("/")
    return {part.removesuffix("_diphone") for part in speaker.split("+")}


ENGINES = ("espeak", "flite", "festival", "kokoro")
"""The programs that may speak; the test part has none, or other voices, of each of them."""


def _fault(problem: str) -> DataProblem:
    return DataProblem(
        f"What the phone network is fitted on: {problem}.",
        "Correct assistant/bench/phones_fit/recipe.toml, or make the folder again.",
    )


def draw_voice(read: Recipe, chance: np.random.Generator) -> tuple[Voice, int]:
    """A voice of the recipe at some tempo, and how often what it says is taken."""
    shares = [one.share for one in read.speakers]
    speakers = read.speakers[int(chance.choice(len(shares), p=shares))]
    name = speakers.names[int(chance.integers(len(speakers.names)))]
    tempo = float(chance.uniform(*read.tempo))
    return Voice(speakers.engine, name, round(tempo, 2)), speakers.takes


def draw_warp(read: Recipe, chance: np.random.Generator) -> float:
    """How far a voice is moved for one take."""
    return round(float(chance.uniform(*read.warp)), 3)
