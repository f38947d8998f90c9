"""What is fuzzed: each target takes any bytes and must neither crash, hang, nor break its word."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

from assistant.adapters.birds.table import read_bird_list
from assistant.adapters.home.folder import read_medicines, species_table
from assistant.adapters.home.toml_file import parse
from assistant.adapters.sound.recordings import read_recording
from assistant.dosing.kit import read_kit
from assistant.dosing.species import read_birds
from assistant.errors import AssistantError
from assistant.language.heard import Channel, Heard
from assistant.language.understanding import understand
from tests.talk_scene import Talk, demo_holding, demo_lexicon, setting

Target = Callable[[bytes], None]

_HERE = Path("file.toml")
_MOST_TURNS = 30


def phrase(data: bytes) -> None:
    """Any words, typed: understood or not, never a crash."""
    understand(_text(data), demo_lexicon())


def medicines(data: bytes) -> None:
    """Any medicines.toml: read, or told what is wrong with it."""
    _refusing(lambda: read_medicines(_text(data), _HERE))


def kit(data: bytes) -> None:
    """Any kit.toml."""
    _refusing(lambda: read_kit(parse(_text(data), _HERE), "kit.toml"))


def birds(data: bytes) -> None:
    """Any birds.toml."""
    _refusing(lambda: read_birds(parse(_text(data), _HERE), species_table(), "birds.toml"))


def bird_list(data: bytes) -> None:
    """Any file given as a list of birds."""
    _refusing(lambda: read_bird_list(_file("list.csv", data), demo_holding().aviary))


def recording(data: bytes) -> None:
    """Any file given as a recording."""
    _refusing(lambda: read_recording(_file("sound.wav", data)))


def conversation(data: bytes) -> None:
    """Any utterances one after the other; Talk holds each turn against what must always hold.

    A byte chooses a phrase that leads somewhere; a line break begins words of any kind.
    """
    talk = Talk(setting())
    first, *others = data.split(b"\n")
    for byte in first[:_MOST_TURNS]:
        talk.say(_PHRASES[byte % len(_PHRASES)])
    for other in others[:_MOST_TURNS]:
        sure, words = other[:1], _text(other[1:])
        confidence = (sure[0] if sure else 0) / 255
        talk.say(heard=Heard(words, confidence=confidence, channel=Channel.VOICE))


_PHRASES = (
    *("yes", "no", "given", "part given", "not given", "don't know", "scratch that", "say again"),
    *("cockatiel 95 grams", "galah 300 grams", "pepper 96 grams", "saffron 30 grams", "budgie 32"),
    *("cockatiel", "95 grams", "no 85 grams", "ringneck 120 grams", "bag is 12", "no bag"),
    *("new needle", "rinsed the needle", "needle is full", "switch to thistle", "marigold", "help"),
    *("stop listening", "start listening", "goodbye", "how many done", "who is left", "half dose"),
    *(
        "wrong bird",
        "got away",
        "full crop",
        "sour crop",
        "it is coughing",
        "too much",
        "spat it out",
    ),
    *(
        "another one 94 grams",
        "correction",
        "next bird",
        "how much is left",
        "batch one",
        "sick bird",
    ),
    *("young bird", "healthy adult", "cage four", "six birds", "eighty five not ninety five"),
)

TARGETS: Mapping[str, Target] = {
    target.__name__: target
    for target in (phrase, medicines, kit, birds, bird_list, recording, conversation)
}


def _text(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape")


def _refusing(read: Callable[[], object]) -> None:
    """Read it; a refusal has to say what is wrong and what to do."""
    said = "read", "nothing to do"
    try:
        read()
    except AssistantError as refusal:
        said = refusal.problem, refusal.remedy
    assert all(map(str.strip, said))


@cache
def _folder() -> Path:
    return Path(tempfile.mkdtemp(prefix="fuzz-"))


def _file(name: str, data: bytes) -> Path:
    path = _folder() / name
    path.write_bytes(data)
    return path
