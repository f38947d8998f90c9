"""The small pieces that sentences are made of: birds, weights and volumes, said safely.

Numbers follow safe-expression practice (ISMP, list of error-prone dose designations): a leading
zero, no trailing zero, a space before the unit, mL.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from assistant.dosing.quantities import decimal_text
from assistant.dosing.species import Bird, Species
from assistant.language.numerals import digit_words, is_whole, sounds_alike
from assistant.language.requests import Named


def grams_text(grams: Decimal) -> str:
    """A weight such as "95 grams", to a tenth of a gram.

    Digit by digit too where a sound-alike number would be another dose ("30 grams, three zero").
    """
    shown = grams if is_whole(grams) else grams.quantize(Decimal("0.1"))
    return _with_digits(f"{decimal_text(shown)} gram{'' if shown == 1 else 's'}", shown)


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
