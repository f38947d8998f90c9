"""What the keeper works with: syringes, needles, scale, voice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from assistant.dosing.needle import Needle
from assistant.dosing.syringe import Syringe


@dataclass(frozen=True, slots=True)
class Kit:
    """The keeper's things and settings.

    `scale_step_g` is the step of the scale in grams, `rounding_limit_percent` the error above
    which an answer warns, `banding` whether a round starts with weight bands on, and
    `remind_every` after how many birds the medicine is said again.  `voice_rate` is in words per
    minute; None leaves it to the voice.
    """

    keeper: str
    syringes: tuple[Syringe, ...]
    needles: tuple[Needle, ...]
    default_needle: Needle
    scale_step_g: Decimal
    rounding_limit_percent: Decimal = Decimal(10)
    medicine: str | None = None
    banding: bool = False
    remind_every: int = 10
    voice: str | None = None
    voice_rate: int | None = None


def read_kit(table: Mapping[str, object], place: str) -> Kit:
    """Read kit.toml; raises FigureProblems with every problem in it.

    Keys: keeper, medicine, scale_step ("1 g"), rounding_limit_percent, banding, remind_every,
    `[[syringe]]` capacity ("1 mL") and graduation ("0.01 mL"), `[[needle]]` gauge, length
    ("75 mm"), hub ("0.05 mL"), measured ("0.35 mL"), default = true (else the first), and
    `[voice]` name and rate.
    """
    raise NotImplementedError
