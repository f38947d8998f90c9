"""Two things said in one breath: "given, next galah three thirty", "cage four, cockatiel ninety".

Where each of the two is a whole request by itself, both are found, in the order in which they were
said.  A bird that follows the end of a dose is the next one only where the word next says so:
"given, cockatiel ninety five" may as well tell which bird it was.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from assistant.language.expected import TAGS, Saying
from assistant.language.numerals import is_number_word
from assistant.language.requests import EMERGENCIES, CageSaid, DoseWanted, Plain, Request, TareSaid

Words = tuple[str, ...]
Read = Callable[[int, int], tuple[Request, ...]]
"""The readings of a stretch of the words, from one place up to another."""

_ENDS = TAGS[Saying.END] - {"wrong_bird", "other_bird"} | {"next"}
"""The tags that say how a dose ended, or that it did."""

_AFTER_AN_END = frozenset(
    {"next_cage", "needle_new", "needle_rinsed", "count", "remaining", "goodbye"} | EMERGENCIES
)
"""What may follow the end of a dose, beside a bird, a cage and a bag."""

_NEEDLES = frozenset({"needle_new", "needle_rinsed", "needle_full"})
"""What may be said of the needle before a bird."""

_JOINED = ("and", "but")
_NEXT = (("next",), ("then",), ("the", "next"))


@dataclass(frozen=True, slots=True)
class Breath:
    """Two requests in their order, and whether the second can follow the first unasked."""

    first: Request
    second: Request
    clear: bool = False


def in_one_breath(said: Words, read: Read) -> tuple[Breath, ...]:
    """Each two requests that the words make, one after the other."""
    found: dict[Breath, bool] = {}
    for at in range(1, len(said)):
        if is_number_word(said[at - 1]) and is_number_word(said[at]):
            continue  # "cage twenty four cockatiel": nobody knows where the number ends
        start = at + (said[at] in _JOINED)
        for first in read(0, at):
            for second in read(start, len(said)) if _may_be_first(first) else ():
                two = Breath(first, second)
                # "full cockatiel" may tell of its crop: a needle has to be called one
                if _fits(two) and (not is_needle(first) or "needle" in said[:at]):
                    found[two] = found.get(two, False) or _is_clear(two, said[start:])
    return tuple(replace(two, clear=clear) for two, clear in found.items())


def _may_be_first(request: Request) -> bool:
    of_round = _is_end(request) or is_cage(request) or is_needle(request)
    return of_round or isinstance(request, TareSaid | DoseWanted)


def _fits(two: Breath) -> bool:
    """Whether a keeper may say the second after the first."""
    first, second = two.first, two.second
    if _is_end(first):
        known = isinstance(second, Plain) and second.kind in _AFTER_AN_END
        return known or isinstance(second, DoseWanted | CageSaid | TareSaid)
    if is_cage(first) or is_needle(first):
        return isinstance(second, DoseWanted) and bool(second.named)
    return {type(first), type(second)} == {TareSaid, DoseWanted}


def _is_clear(two: Breath, later: Words) -> bool:
    """Whether the second can be taken after the first; `later` are its words."""
    if _is_end(two.first):
        next_said = any(later[: len(words)] == words for words in _NEXT)
        return next_said or two.first == Plain("next") or not isinstance(two.second, DoseWanted)
    # a bag told beside a weight leaves open whether the bird was weighed in it
    return is_cage(two.first) or is_needle(two.first)


def _is_end(request: Request) -> bool:
    return isinstance(request, Plain) and request.kind in _ENDS


def is_needle(request: Request) -> bool:
    """Whether it says what was done to the needle."""
    return isinstance(request, Plain) and request.kind in _NEEDLES


def is_cage(request: Request) -> bool:
    """Whether it goes to a cage."""
    return isinstance(request, CageSaid) or request == Plain("next_cage")
