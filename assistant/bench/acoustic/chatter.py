"""Talk that is meant for nobody here: dictionary words, sentences of packaged texts, recordings.

- words: the dictionary inside pocketsphinx (CMU dictionary), half of its words for each part
- sentences: the licences that Debian keeps in /usr/share/common-licenses for development, the
  package fortunes-min for the test part
- recordings of people (see `recorded`), in the test part alone
- sentences about birds and numbers that ask for no dose, from parts.toml
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import numpy as np

from assistant.adapters.ears.pronunciations import dictionary_lines
from assistant.bench.acoustic import recorded
from assistant.bench.acoustic.chance import generator, pick, shuffled, side
from assistant.bench.acoustic.desk import BenchDesk
from assistant.bench.acoustic.parts import Declared
from assistant.bench.acoustic.phrases import Speech
from assistant.bench.acoustic.records import Kind, Part, Phrase, Voice
from assistant.bench.acoustic.voices import RECORDING
from assistant.bench.acoustic.wordings import whole_number
from assistant.conversation.turn import Status

LICENCES = Path("/usr/share/common-licenses")
FORTUNES = Path("/usr/share/games/fortunes")

_SENTENCE_WORDS = (3, 14)
_SENTENCE = re.compile(r"[A-Z][^.!?;:\d\"()<>\[\]*_=/\\|]{12,90}[.!?]")


@cache
def dictionary_words(part: Part) -> tuple[str, ...]:
    """The words of the CMU dictionary that belong to this part."""
    words = {line.split(maxsplit=1)[0] for line in dictionary_lines()}
    wanted = 0 if part is Part.DEVELOPMENT else 1
    return tuple(
        sorted(word for word in words if word.isalpha() and side(f"word {word}") == wanted)
    )


@cache
def sentences(source: str) -> tuple[str, ...]:
    """The sentences of a source named in parts.toml, each once; none where it is not installed."""
    found: dict[str, None] = {}
    for path in _texts(source):
        text = " ".join(path.read_text("utf-8", errors="ignore").split())
        for sentence in _SENTENCE.findall(text):
            plain = " ".join(re.findall(r"[a-z']+", sentence.lower().replace("’", "'")))
            if _SENTENCE_WORDS[0] <= len(plain.split()) <= _SENTENCE_WORDS[1]:
                found.setdefault(plain)
    return tuple(sorted(found))


def _texts(source: str) -> Iterator[Path]:
    if source == "law" and LICENCES.is_dir():
        yield from sorted(path for path in LICENCES.iterdir() if not path.is_symlink())
    if source == "fortunes" and FORTUNES.is_dir():
        yield from sorted(path for path in FORTUNES.iterdir() if not path.suffix)


def chatter(desk: BenchDesk, declared: Declared, count: int) -> list[tuple[Phrase, Voice | None]]:
    """So much talk that no request is made of, with its own voice where it is a recording."""
    chance = generator(f"chatter {declared.part}")
    found: list[tuple[Phrase, Voice | None]] = []
    if "recorded" in declared.talk:
        found += [
            (Phrase(Kind.CHATTER, path.stem, style="recorded"), Voice(RECORDING, str(path)))
            for path in recorded.talk()
        ][: count // 5]
    pool = shuffled(chance, [line for source in declared.talk for line in sentences(source)])
    seen: set[str] = set()
    while len(found) < count:
        by_words = chance.uniform() < 1 / 3 or not pool
        text = _some_words(chance, declared.part) if by_words else pool.pop()
        if text not in seen and not _is_request(desk, text):
            found.append((Phrase(Kind.CHATTER, text, style="words" if by_words else "text"), None))
        seen.add(text)
    return found


def _some_words(chance: np.random.Generator, part: Part) -> str:
    words = dictionary_words(part)
    return " ".join(pick(chance, words) for _ in range(int(chance.integers(1, 7))))


def _is_request(desk: BenchDesk, text: str) -> bool:
    """Whether the text path takes it for an order, so that to ignore it would be wrong."""
    return desk.typed(text).status in (Status.ANSWERED, Status.COMMAND)


def bird_talk(speech: Speech, count: int) -> list[Phrase]:
    """Talk about birds and numbers that asks for nothing."""
    chance = generator(f"bird talk {speech.declared.part}")
    names = tuple(speech.names)
    found: dict[str, Phrase] = {}
    while len(found) < count:
        small = whole_number(int(chance.integers(2, 100)))
        wording = pick(chance, speech.declared.bird_talk)
        text = wording.format(bird=pick(chance, names), small=small)
        if not _is_request(speech.desk, text):
            found.setdefault(text, Phrase(Kind.BIRD_TALK, text))
    return list(found.values())
