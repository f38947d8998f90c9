"""Audio as a value: samples never travel without their rate."""

from __future__ import annotations

from dataclasses import dataclass

EAR_RATE_HZ = 16_000
"""The rate that every ear is fed at."""

BYTES_PER_SAMPLE = 2


@dataclass(frozen=True, slots=True)
class Clip:
    """A piece of sound: one channel of signed 16-bit little-endian samples at `rate_hz`."""

    pcm: bytes
    rate_hz: int = EAR_RATE_HZ

    @property
    def samples(self) -> int:
        """How many samples the clip holds."""
        return len(self.pcm) // BYTES_PER_SAMPLE

    @property
    def seconds(self) -> float:
        """How long the clip lasts, in seconds."""
        return self.samples / self.rate_hz
