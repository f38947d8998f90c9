"""Shares with their 95 % intervals; pure.

Wilson's score interval: Wilson 1927, J. Am. Stat. Assoc. 22:209-212.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

Z_95 = 1.959963984540054
"""The 0.975 quantile of the normal distribution."""


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many, with the 95 % interval of the share."""

    count: int
    of: int

    @property
    def value(self) -> float:
        """The share itself; of nothing it is not a number."""
        return self.count / self.of if self.of else math.nan

    @property
    def interval(self) -> tuple[float, float]:
        """Wilson's interval; of nothing it is everything."""
        return wilson(self.count, self.of)


def wilson(count: int, of: int) -> tuple[float, float]:
    """The score interval of a share."""
    if of == 0:
        return 0.0, 1.0
    share, square = count / of, Z_95 * Z_95
    middle = (share + square / (2 * of)) / (1 + square / of)
    half = Z_95 / (1 + square / of) * math.sqrt(share * (1 - share) / of + square / (4 * of * of))
    # at the ends the bound is exact, which rounding would spoil
    low = 0.0 if count == 0 else max(0.0, middle - half)
    return low, 1.0 if count == of else min(1.0, middle + half)
