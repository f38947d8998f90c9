"""Sound at another rate."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ, Clip

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_QUIET_S = 0.4


def samples_at(clip: Clip, rate_hz: int) -> NDArray[np.int16]:
    """The clip's samples at this rate; half a sample at its end is left out."""
    import numpy as np
    import soxr

    whole = clip.pcm[: clip.samples * BYTES_PER_SAMPLE]
    samples: NDArray[np.int16] = soxr.resample(
        np.frombuffer(whole, dtype="<i2"), clip.rate_hz, rate_hz
    )
    return samples


def as_utterance(clip: Clip) -> Clip:
    """The clip at 16 kHz with a little silence before and after, as an utterance comes in."""
    quiet = bytes(round(_QUIET_S * EAR_RATE_HZ) * BYTES_PER_SAMPLE)
    return Clip(quiet + samples_at(clip, EAR_RATE_HZ).astype("<i2").tobytes() + quiet)
