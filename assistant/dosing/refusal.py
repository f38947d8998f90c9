"""A refusal: no dose, and why."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Reason(StrEnum):
    """Why no dose is said, in one word."""

    UNCONFIRMED = "unconfirmed"
    EDITED = "edited"
    EXPIRED = "expired"
    WEIGHT = "weight"
    CAUTION = "caution"
    ALREADY_DOSED = "already_dosed"
    YOUNG = "young"
    SECOND_MEDICINE = "second_medicine"
    CROP = "crop"
    NEEDLE = "needle"
    TOO_SMALL = "too_small"
    TOO_BIG = "too_big"
    OVERDOSE = "overdose"
    MARGIN = "margin"


@dataclass(frozen=True, slots=True)
class Refusal:
    """No dose, with the reason in a sentence that can be said aloud."""

    reason: Reason
    said: str
