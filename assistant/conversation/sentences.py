"""The small pieces that sentences are made of: birds, weights and volumes, said safely.

Numbers follow safe-expression practice (ISMP, list of error-prone dose designations): a leading
zero, no trailing zero, a space before the unit, mL.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from itertools import combinations

from assistant.conversation.entries import DoseEntry
from assistant.dosing.quantities import decimal_text
from assistant.dosing.species import Bird, Species
from assistant.language.numerals import confusable, digit_words, is_whole, sounds_alike
from assistant.language.requests import Named, Weight


def grams_text(grams: Decimal) -> str:
    """A weight such as "95 grams", to a tenth of a gram.

    Digit by digit too where a sound-alike number would be another dose ("30 grams, three zero").
    """
    shown = grams if is_whole(grams) else grams.quantize(Decimal("0.1"))
    return _with_digits(f"{decimal_text(shown)} gram{'' if shown == 1 else 's'}", shown)


def weight_text(weight: Weight) -> str:
    """A weight in the words of a question."""
    return weight.said if weight.grams is None else grams_text(weight.grams)


def rival_weights(weights: Sequence[Weight]) -> str:
    """Weights to choose from: "95 or 310 grams"; with digits where one may be taken for another."""
    grams = [one.grams for one in weights if one.grams is not None]
    if len(grams) < len(weights) or not all(map(is_whole, grams)):
        return either(map(weight_text, weights))
    grams = list(dict.fromkeys(grams))
    if not any(confusable(*pair) for pair in combinations(grams, 2)):
        return f"{either(map(decimal_text, grams))} gram{'' if grams[-1] == 1 else 's'}"
    *most, last = (f"{decimal_text(one)}, {digit_words(decimal_text(one))}" for one in grams)
    return f"{', '.join(most)}, or {last}" if most else last


def ml(volume: Decimal) -> str:
    """A volume such as "0.48 mL", digit by digit too where it could be misheard, from 13 mL on."""
    return _with_digits(f"{decimal_text(volume)} mL", volume)


def _with_digits(text: str, number: Decimal) -> str:
    if not sounds_alike(number):
        return text
    whole, _, decimals = decimal_text(number).partition(".")
    spelt = digit_words(whole)
    return f"{text}, {spelt} point {digit_words(decimals)}" if decimals else f"{text}, {spelt}"


def percent(share: Decimal) -> str:
    """A share such as "2.4 %", without its sign."""
    return f"{decimal_text(abs(share))} %"


def named(one: Named) -> str:
    """A bird as it is said back: its name with its species, or its species alone."""
    return one.spoken if isinstance(one, Species) else f"{one.name}, {one.species}"


def what(entry: DoseEntry) -> str:
    """A dose as it is read back: the bird, its weight and the volume."""
    who = f"{entry.bird}, {entry.species}" if entry.bird else entry.species
    return f"{who}, {grams_text(entry.grams)}, {ml(entry.volume_ml)}"


def same_day(then: datetime, now: datetime) -> bool:
    """Whether both are one day where the keeper is now."""
    return then.astimezone(now.tzinfo).date() == now.date()


def species_name(one: Named) -> str:
    """The common name in the table."""
    return one.name if isinstance(one, Species) else one.species


def bird_name(one: Named | None) -> str | None:
    """The name of a bird of the keeper's; None for a species."""
    return one.name if isinstance(one, Bird) else None


def either(names: Iterable[str]) -> str:
    """Names to choose from: "a, b or c"."""
    *most, last = dict.fromkeys(names)
    return f"{', '.join(most)} or {last}" if most else last


def usual_range(species: Species) -> str:
    """The usual adult weight, such as "80 to 125 grams"."""
    return f"{decimal_text(species.low_g)} to {decimal_text(species.high_g)} grams"
