"""Weights over time: a bird's history, and the warning about a fast loss."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final

FAST_LOSS_PERCENT: Final = Decimal(10)
"""A loss that is for a vet: 10 % of the body weight or more (a pet bird magazine's page on weight
loss, and others like it; a weak source, no handbook seen)."""

FAST_LOSS_DAYS: Final = 30
"""Within which a loss counts as fast: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Weighing:
    """A bird on the scale, alone, in grams."""

    at: datetime
    grams: Decimal


@dataclass(frozen=True, slots=True)
class Loss:
    """A fast loss: from which weighing, to which, and how many percent of the first."""

    before: Weighing
    now: Weighing

    @property
    def percent(self) -> Fraction:
        """The share lost, in percent."""
        return 100 * (1 - Fraction(self.now.grams) / Fraction(self.before.grams))

    @property
    def days(self) -> int:
        """Over how many days, the day begun counted whole."""
        return -((self.before.at - self.now.at) // timedelta(days=1))


def fast_loss(
    history: Iterable[Weighing],
    now: Weighing,
    percent: Decimal = FAST_LOSS_PERCENT,
    days: int = FAST_LOSS_DAYS,
) -> Loss | None:
    """The loss since the heaviest weighing of the last `days`, where it is `percent` or more.

    Weighings after `now` and older ones do not count; of equal ones the newest is taken.
    """
    earliest = now.at - timedelta(days=days)
    recent = [one for one in history if earliest <= one.at < now.at and one.grams > 0]
    if not recent:
        return None
    loss = Loss(max(recent, key=lambda one: (one.grams, one.at)), now)
    return loss if loss.percent >= percent else None
