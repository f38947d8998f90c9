"""What an ear or a keyboard brought in, before anything is understood."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

WORTH_ASKING = 0.1
"""The probability from which a doubtful dose or answer is asked about.  On the bench's development
part the doubtful doses that were heard right lay at 0.13 and above, the only dose heard in 150
utterances of other talk at 0.05 (size quick, 256 doses, 2026-11-25): few, so that it may move."""


class Channel(StrEnum):
    """How the words came in."""

    TEXT = "text"
    VOICE = "voice"


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another thing that the ear might have heard, with its share of belief from 0 to 1."""

    words: str
    confidence: float


@dataclass(frozen=True, slots=True)
class Heard:
    """One utterance: the words, how sure the ear is, and what else it might have been.

    An engine's confidence is evidence, never a verdict: it may lead to a question, and never
    stands in for the read-back.  Typed text has confidence 1.  `doubtful` is an ear's own wish to
    be asked about, whatever its confidence.
    """

    words: str
    confidence: float = 1.0
    alternatives: tuple[Alternative, ...] = ()
    channel: Channel = Channel.TEXT
    engine: str = "keyboard"
    doubtful: bool = False
