"""How good the sound of one utterance was, as a value beside what the ears made of it."""

from __future__ import annotations

from dataclasses import dataclass

QUIETEST_DBFS = -100.0
"""Below the steps of 16 bit: what digital silence is said to be."""

WORST_SNR_DB = -10.0
BEST_SNR_DB = 70.0


@dataclass(frozen=True, slots=True)
class Signal:
    """What was measured of an utterance of `seconds`; every field is a finite number.

    `level_dbfs` is the root mean square of the speech while somebody speaks, `noise_dbfs` that of
    what lies under it, both in decibels to a full scale of 1 and from `QUIETEST_DBFS` up.
    `snr_db` is the first over the second, from `WORST_SNR_DB` (nothing stands out of the noise,
    or there is no sound) to `BEST_SNR_DB`.  `clipped` is the share of the samples, from 0 to 1,
    that lie on flat tops.
    """

    level_dbfs: float
    noise_dbfs: float
    snr_db: float
    clipped: float
    seconds: float


NO_SIGNAL = Signal(QUIETEST_DBFS, QUIETEST_DBFS, WORST_SNR_DB, 0.0, 0.0)
"""What is measured of no sound at all."""
