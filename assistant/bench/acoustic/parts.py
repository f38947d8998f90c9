"""The two parts as declared in parts.toml, read and checked so that nobody can mix them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from assistant.bench.acoustic.records import Part, Voice
from assistant.errors import DataProblem, UsageProblem

_PLACE = "assistant/bench/acoustic/parts.toml"
_APART = (
    "voices",
    "noises",
    "rooms",
    "faults",
    "doses",
    "otherwise",
    "styles",
    "bird_talk",
    "talk",
)


@dataclass(frozen=True, slots=True)
class Declared:
    """What one part is made of; the first of `doses` and all `shared_styles` are in both parts."""

    part: Part
    voices: tuple[Voice, ...]
    noises: tuple[str, ...]
    rooms: tuple[str, ...]
    faults: tuple[str, ...]
    doses: tuple[str, ...]
    otherwise: tuple[str, ...]
    styles: tuple[str, ...]
    shared_styles: tuple[str, ...]
    bird_talk: tuple[str, ...]
    talk: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Size:
    """How much of each kind; `doses_fault` and `doses_room` count for each one.

    `noisy` says how many dose requests there are in each noise, at each signal-to-noise in dB.
    """

    name: str
    doses_clean: int
    noisy: Mapping[float, int]
    doses_fault: int
    doses_room: int
    otherwise: int
    control: int
    weight_only: int
    cut_off: int
    chatter: int
    bird_talk: int
    noise_seconds: float


@cache
def _content() -> Mapping[str, Any]:
    return read_parts(files("assistant.bench.acoustic").joinpath("parts.toml").read_text("utf-8"))


def read_parts(text: str) -> Mapping[str, Any]:
    """The content of a parts.toml; raises DataProblem where the two parts overlap."""
    content = tomllib.loads(text)
    first, second = content["development"], content["test"]
    for key in _APART:
        mixed = sorted({_apart(one) for one in first[key]} & {_apart(one) for one in second[key]})
        if mixed:
            raise DataProblem(
                f"{_PLACE}: both parts have {', '.join(mixed)} under {key}.",
                "Give each to one part only, or what is measured was fitted on.",
            )
    return content


def _apart(entry: str) -> str:
    """What must not be shared: of a voice the speaker, whatever its tempo and warp."""
    words = entry.split()
    return " ".join(words[:-2]) if len(words) == 4 and _is_number(words[-1]) else entry  # noqa: PLR2004 - engine, voice, tempo, warp


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdigit()


def declared(part: Part) -> Declared:
    """What a part is made of."""
    table, shared = _content()[part.value], _content()["shared"]
    return Declared(
        part=part,
        voices=tuple(map(read_voice, table["voices"])),
        noises=tuple(table["noises"]),
        rooms=tuple(table["rooms"]),
        faults=tuple(table["faults"]),
        doses=(*shared["doses"], *table["doses"]),
        otherwise=tuple(table["otherwise"]),
        styles=tuple(table["styles"]),
        shared_styles=tuple(shared["styles"]),
        bird_talk=tuple(table["bird_talk"]),
        talk=tuple(table["talk"]),
    )


def read_voice(text: str) -> Voice:
    """A voice as parts.toml writes it: engine, voice, tempo, warp."""
    engine, name, tempo, warp = text.split()
    return Voice(engine, name, float(tempo), float(warp))


def sizes() -> tuple[str, ...]:
    """The names of the sizes, the smallest first."""
    return tuple(_content()["size"])


def size(name: str) -> Size:
    """How much a run of this size holds; raises UsageProblem."""
    if name not in sizes():
        raise UsageProblem(f"There is no size {name}.", f"Choose one of {', '.join(sizes())}.")
    table = _content()["size"][name]
    noisy = {float(snr_db): count for snr_db, count in table["noisy"].items()}
    return Size(name, **{**table, "noisy": noisy})
