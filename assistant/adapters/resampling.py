"""Sound of any rate as ears take it."""

from __future__ import annotations

from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip

_QUIET_S = 0.4


def for_ears(clip: Clip) -> Clip:
    """The clip at 16 kHz with a little silence before and after, as an utterance comes in."""
    import numpy as np
    import soxr

    whole = clip.pcm[: clip.samples * BYTES_PER_SAMPLE]
    samples = soxr.resample(np.frombuffer(whole, dtype="<i2"), clip.rate_hz, EAR_RATE_HZ)
    quiet = bytes(round(_QUIET_S * EAR_RATE_HZ) * BYTES_PER_SAMPLE)
    return Clip(quiet + samples.astype("<i2").tobytes() + quiet)
