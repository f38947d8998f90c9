"""Which crop needle is usually taken for a bird; a vet's or an experienced keeper's eye decides.

Gauges: LafeberVet, "Tube Feeding Birds", table 1, which names finch and canary (16 to 18),
budgerigar (14 to 16), lovebird, cockatiel and small conure (12 to 14), large conure (10 to 12),
amazons, cockatoos and macaws (8 to 10).  Other parrots are placed between those birds by weight
(derived).  For doves, pigeons, quail, poultry and softbills no source was found, so that nothing
is said.  Lengths are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from assistant.dosing.needle import Needle
from assistant.dosing.species import PARROT_GROUPS, Species

_FINCH = "finch"
_PARROTS = (
    (Decimal(40), (14, 16), Decimal(50)),
    (Decimal(100), (12, 14), Decimal(75)),
    (Decimal(250), (10, 12), Decimal(75)),
    (Decimal(10_000), (8, 10), Decimal(100)),
)
"""Up to so many grams: the gauges, thick to thin, and a length in mm."""

EYE = "A vet's or an experienced keeper's eye decides."


@dataclass(frozen=True, slots=True)
class NeedleAdvice:
    """The thickest and the thinnest gauge that are usual, and a usual length in mm."""

    thickest: int
    thinnest: int
    length_mm: Decimal

    @property
    def said(self) -> str:
        """The gauges, such as "14 to 16 gauge"."""
        return f"{self.thickest} to {self.thinnest} gauge"

    def fits(self, needle: Needle) -> bool:
        """Whether the needle's gauge is one of the usual ones."""
        return self.thickest <= needle.gauge <= self.thinnest


def advise(species: Species, grams: Decimal | None = None) -> NeedleAdvice | None:
    """The usual needle for a bird of this species, or None where no source says; weight in grams.

    Without a weight the middle of the usual range stands for it.
    """
    if species.group == _FINCH:
        return NeedleAdvice(16, 18, Decimal(50))
    if species.group not in PARROT_GROUPS:
        return None
    weight = grams or species.mean_g or (species.low_g + species.high_g) / 2
    for most_g, (thickest, thinnest), length_mm in _PARROTS:
        if weight <= most_g:
            return NeedleAdvice(thickest, thinnest, length_mm)
    return None
