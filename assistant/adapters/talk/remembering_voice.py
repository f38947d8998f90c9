"""A voice that remembers what it has said, and can have it ready before it is wanted."""

from __future__ import annotations

from collections import OrderedDict

from assistant.audio import Clip
from assistant.ports import Voice

_MOST_BYTES = 16_000_000
"""About six minutes of speech at 22 kHz."""


class RememberingVoice:
    """Another voice, whose sentences are rendered once; the ones longest unused are forgotten."""

    def __init__(self, voice: Voice, most_bytes: int = _MOST_BYTES) -> None:
        self._voice = voice
        self._most_bytes = most_bytes
        self._bytes = 0
        self._kept: OrderedDict[tuple[str, float], Clip] = OrderedDict()

    @property
    def name(self) -> str:
        """The engine and the voice in use."""
        return self._voice.name

    def render(self, words: str, pace: float = 1.0) -> Clip:
        """The words as sound, from memory where they were said before at this pace."""
        key = (words, pace)
        clip = self._kept.get(key)
        if clip is None:
            clip = self._voice.render(words, pace)
            self._bytes += len(clip.pcm)
        self._kept[key] = clip
        self._kept.move_to_end(key)
        while self._bytes > self._most_bytes:
            _, forgotten = self._kept.popitem(last=False)
            self._bytes -= len(forgotten.pcm)
        return clip

    def knows(self, words: str, pace: float = 1.0) -> bool:
        """Whether the words are remembered."""
        return (words, pace) in self._kept
