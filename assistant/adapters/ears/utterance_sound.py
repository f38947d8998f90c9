"""The sound of one utterance on its way into an ear."""

from __future__ import annotations

from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem


class UtteranceSound:
    """Sound at 16 kHz, collected until it is taken.

    Of a longer utterance than `longest_s` nothing is given, since half a sentence can mean another
    dose; and no more of it is kept than tells that it is too long.
    """

    def __init__(self, shortest_s: float, longest_s: float) -> None:
        self._least, self._most = _bytes(shortest_s), _bytes(longest_s)
        self._pcm = bytearray()

    def clear(self) -> None:
        """Forget what came before."""
        self._pcm.clear()

    def add(self, clip: Clip) -> None:
        """Take in a clip at 16 kHz; raises AudioProblem for another rate."""
        must_be_at_ear_rate(clip)
        room = self._most + BYTES_PER_SAMPLE - len(self._pcm)
        self._pcm += clip.pcm[: max(room, 0)]

    def take(self) -> bytes:
        """All that came, once; nothing of what was too short or too long."""
        pcm = bytes(self._pcm)
        self._pcm.clear()
        return pcm if self._least <= len(pcm) <= self._most else b""


def must_be_at_ear_rate(clip: Clip) -> None:
    """Raise AudioProblem for a clip that is not at the rate of the ears."""
    if clip.rate_hz != EAR_RATE_HZ:
        raise AudioProblem(
            f"The ear takes {EAR_RATE_HZ} samples a second, not {clip.rate_hz}.",
            "Convert the sound first.",
        )


def _bytes(seconds: float) -> int:
    return int(seconds * EAR_RATE_HZ) * BYTES_PER_SAMPLE
