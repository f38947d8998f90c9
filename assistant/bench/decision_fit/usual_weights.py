"""How usual a heard weight is for the heard bird: the prior that is tried in the decision."""

from __future__ import annotations

import math
from decimal import Decimal

from assistant.dosing.species import Bird, Species
from assistant.language.lexicon import Lexicon
from assistant.language.requests import DoseWanted
from assistant.language.understanding import understand

_LEAST = -8.0
"""So unusual is any weight at most: the prior is a soft one."""

_RANGE = 4.0
"""A usual range spans four standard deviations of the logarithm of the weight.  A choice."""


def log_likelihood(words: str, lexicon: Lexicon) -> float:
    """The log-likelihood of the weight in a request, against the likeliest; 0 without one."""
    for request in understand(words, lexicon).requests if words else ():
        if isinstance(request, DoseWanted) and request.named and request.weights:
            grams = request.weights[0].grams
            return max(_against(_species(one, lexicon), grams) for one in request.named)
    return 0.0


def _against(species: Species, grams: Decimal | None) -> float:
    if grams is None or grams <= 0:
        return 0.0
    low, high = math.log(species.low_g), math.log(species.high_g)
    spread = max((high - low) / _RANGE, 0.05)
    return max(_LEAST, -0.5 * ((math.log(grams) - (low + high) / 2) / spread) ** 2)


def _species(named: Species | Bird, lexicon: Lexicon) -> Species:
    return lexicon.aviary.species(named.species) if isinstance(named, Bird) else named
