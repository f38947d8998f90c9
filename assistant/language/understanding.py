"""Words to requests: strictly by the grammar first, and only then with a question ready.

Nothing is dropped or changed in silence, but for hesitations such as "um".  A misspelt bird name
that is near one bird and far from all others is taken, since the answer reads it back; any other
repair is asked about first.
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial
from itertools import combinations, pairwise

from assistant.dosing.condition import Condition
from assistant.language.breath import in_one_breath
from assistant.language.lexicon import Lexicon, speaks_of_ring
from assistant.language.matching import Chart
from assistant.language.names import near_words
from assistant.language.numerals import NumberProblem, is_number_word, value
from assistant.language.parts import Ways
from assistant.language.question_mark import as_meant
from assistant.language.reading import NoReading, read_marks
from assistant.language.repairs import put_right, suggestions
from assistant.language.requests import DoseWanted, Plain, Request
from assistant.language.tokens import LONGEST_WORDS, is_too_long, tokens
from assistant.language.tree import FIGURE, plain

PIECE_WORDS = 8
"""The longest stretch that is looked at as a bird or a weight by itself."""

HESITATIONS = frozenset({"um", "umm", "uh", "er", "erm", "hm", "hmm", "ah", "eh", "mm"})

_NO_WEIGHT = frozenset({"ml", "mls", "mil", "mils", "millilitres", "milliliters", "cc", "drops"})
"""Known words that a keeper may say after a number, and that measure no weight."""

_INTO_NUMBER = frozenset({"a", "an", "of", "half", "quarter", "point", "about"})
"""Words that, after a strange one, show that it may have belonged to a number."""

_OUT_OF_NUMBER = frozenset({"and", "point"})
"""The same, before it."""

_CAGES = frozenset({"cage", "aviary", "flight", "pen"})
"""Words for a place of birds; what follows one is the place's number, never a weight."""

_COUNTED = frozenset({"bird", "birds", "times"})
"""Words before which a number counts something, and weighs nothing."""

Words = tuple[str, ...]


class Doubt(StrEnum):
    """What keeps an utterance from being acted on as it stands."""

    EMPTY = "empty"
    TOO_LONG = "too_long"
    UNKNOWN_WORD = "unknown_word"
    UNKNOWN_UNIT = "unknown_unit"
    NEAR_NAME = "near_name"
    NEAR_WORD = "near_word"
    NEGATIVE = "negative"
    UNKNOWN_CAGE = "unknown_cage"
    TWO_THINGS = "two_things"
    ONE_AT_A_TIME = "one_at_a_time"
    TWO_BIRDS = "two_birds"
    NOT_FOLLOWED = "not_followed"
    NOT_UNDERSTOOD = "not_understood"


@dataclass(frozen=True, slots=True)
class Understanding:
    """What an utterance may mean.

    Without a doubt, `requests` holds one reading, or several to ask about.  With one, they are
    what it would mean if the doubt were settled, and `words` are those in doubt.  Of two things
    said in one breath both are there, in their order.
    """

    requests: tuple[Request, ...]
    doubt: Doubt | None = None
    words: tuple[str, ...] = ()
    suggested: tuple[str, ...] = ()


def understand(text: str, lexicon: Lexicon) -> Understanding:
    """What `text` means under the lexicon's grammar; never raises."""
    if is_too_long(text):
        return Understanding((), Doubt.TOO_LONG)
    said = tokens(text)
    if not said:
        return Understanding((), Doubt.EMPTY)
    if len(said) > LONGEST_WORDS:
        return Understanding((), Doubt.TOO_LONG)
    steady = tuple(word for word in said if word not in HESITATIONS) or said
    for words in dict.fromkeys((said, steady, _uncontracted(steady))):
        if requests := _requests(words, lexicon):
            return Understanding(tuple(dict.fromkeys(as_meant(one, text) for one in requests)))
    return _with_doubt(steady, lexicon)


def _uncontracted(said: Words) -> Words:
    """The words with "needle's" as "needle is"."""
    return tuple(part for word in said for part in re.sub("'s$", " is", word).split())


def _requests(said: Words, lexicon: Lexicon) -> tuple[Request, ...]:
    """Every distinct reading; one with fewer weights in it is preferred to one with more."""
    return _read(lexicon.matcher.readings(said), said, lexicon)


def _read(readings: Ways, said: Words, lexicon: Lexicon) -> tuple[Request, ...]:
    requests: set[Request] = set()
    for marks in sorted(readings):  # of readings that are equal the first one tells what was said
        # a reading whose number or bird makes no sense is no reading
        with suppress(NumberProblem, NoReading):
            requests.add(read_marks(marks, said, lexicon))
    fewest = min((_weights(request) for request in requests), default=0)
    kept = (r for r in requests if _weights(r) == fewest and not _is_told_fuller(r, requests))
    return tuple(sorted(kept, key=repr))


def _is_told_fuller(request: Request, others: set[Request]) -> bool:
    """Whether another reading is the same bird with its sex: a "bantam hen" is a hen by both."""
    return isinstance(request, DoseWanted) and any(
        isinstance(other, DoseWanted)
        and other.sex is not None
        and request == replace(other, sex=None, spoken=request.spoken)
        for other in others
    )


def _weights(request: Request) -> int:
    return len(request.weights) if isinstance(request, DoseWanted) else 1


def _with_doubt(said: Words, lexicon: Lexicon) -> Understanding:
    """The first repair that makes sense of the words, or what can be made out of them."""
    if below_zero := _below_zero(said):
        about_bird = Understanding(_bird_alone(said, lexicon), Doubt.NEGATIVE, below_zero)
        return _unknown_cage(said) or about_bird
    strange = _strange(said, lexicon)
    mended = put_right(said, strange, lexicon)
    if mended != said:
        if requests := _requests(mended, lexicon):
            return Understanding(requests)
        said, strange = mended, _strange(mended, lexicon)
    return (
        _in_one_breath(said, lexicon)
        or _unknown_cage(said)
        or _counted(said, strange, lexicon)
        or _near_word(said, strange, lexicon)
        or _near_names(said, strange, lexicon)
        or _without_strangers(said, strange, lexicon)
        or _in_pieces(said, strange, lexicon)
    )


def _in_one_breath(said: Words, lexicon: Lexicon) -> Understanding | None:
    """The two requests that the words make together, whether they can be taken so or not."""
    for words in dict.fromkeys((said, _uncontracted(said))):
        read = partial(_stretch, lexicon.matcher.chart(words), words, lexicon)
        found = () if _strange(words, lexicon) else in_one_breath(words, read)
        if found:
            clear = len(found) == 1 and found[0].clear
            doubt = Doubt.TWO_THINGS if clear else Doubt.ONE_AT_A_TIME
            return Understanding((found[0].first, found[0].second), doubt, words)
    return None


def _stretch(
    chart: Chart, said: Words, lexicon: Lexicon, start: int, end: int
) -> tuple[Request, ...]:
    """Every reading of a stretch of the words."""
    return _read(chart.readings(start, end), said, lexicon)


def _unknown_cage(said: Words) -> Understanding | None:
    """What follows the word cage, where no cage is called so: it is no bird and no weight."""
    if said[0] not in _CAGES or len(said) == 1:
        return None
    return Understanding((), Doubt.UNKNOWN_CAGE, said[1:])


def _counted(said: Words, strange: Words, lexicon: Lexicon) -> Understanding | None:
    """What can be made out where a number counts birds: nearly the same words would weigh one."""
    for at, end in combinations(range(1, len(said) + 1), 2):
        if " ".join(said[at:end]) in lexicon.plurals and is_number_word(said[at - 1]):
            return _in_pieces(said, strange, lexicon)
    return None


def _below_zero(said: Words) -> Words:
    """The words from a minus sign on, where one stands before a number."""
    for at, word in enumerate(said):
        after = said[at + 1 : at + 2]
        if word[0] == "-" and len(word) > 1:
            return said[at : at + 1]
        if word in ("minus", "negative") and after and is_number_word(after[0]):
            return said[at:]
    return ()


def _strange(said: Words, lexicon: Lexicon) -> Words:
    """The words that are neither in the grammar nor a figure that reads in just one way."""
    return tuple(
        word for word in said if plain(word) not in lexicon.vocabulary and _odd_figure(word)
    )


def _odd_figure(word: str) -> bool:
    try:
        value([word])
    except NumberProblem:
        return True
    return FIGURE.fullmatch(word) is None


def _near_names(said: Words, strange: Words, lexicon: Lexicon) -> Understanding | None:
    """The birds that one name is near to, or a part of, each put into the request."""
    for found in suggestions(said, strange, lexicon):
        requests = tuple(r for option in found.options for r in _requests(option, lexicon))
        if requests:
            return Understanding(requests, Doubt.NEAR_NAME, found.words, found.names)
    return None


def _near_word(said: Words, strange: Words, lexicon: Lexicon) -> Understanding | None:
    """One strange word, near just one word that makes sense there: worth a question."""
    if len(strange) != 1:
        return None
    readings: dict[Request, str] = {}
    for word in near_words(plain(strange[0]), lexicon.vocabulary):
        mended = tuple(word if one == strange[0] else one for one in said)
        for request in _requests(mended, lexicon):
            readings.setdefault(request, " ".join(mended))
    if len(readings) != 1:
        return None
    return Understanding(tuple(readings), Doubt.NEAR_WORD, strange, tuple(readings.values()))


def _without_strangers(said: Words, strange: Words, lexicon: Lexicon) -> Understanding | None:
    """What the words would mean without the strange ones, if they ask for a dose."""
    units = _units(said, strange)
    known = tuple(word for word in said if word not in strange and word not in units)
    requests = _requests(known, lexicon) if len(known) < len(said) else ()
    doses = [one for one in requests if isinstance(one, DoseWanted)]
    if not doses or len(doses) < len(requests):
        return None
    weightless = tuple(dict.fromkeys(replace(dose, weights=()) for dose in doses))
    if units:
        return Understanding(weightless, Doubt.UNKNOWN_UNIT, units)
    if _in_a_number(said, strange) and doses[0].named:
        return Understanding(weightless, Doubt.UNKNOWN_WORD, strange)
    return Understanding(tuple(doses), Doubt.UNKNOWN_WORD, strange)


def _units(said: Words, strange: Words) -> Words:
    """The words that stand where a unit would, right after a number, and are none of a weight."""
    return tuple(
        word
        for before, word in pairwise(said)
        if is_number_word(before)
        and (word in _NO_WEIGHT or (word in strange and word[0].isalpha()))
    )


def _in_a_number(said: Words, strange: Words) -> bool:
    """Whether a strange word may have been part of a number, so that the rest would be another."""
    numbers = set(filter(is_number_word, said))
    around = zip(("", *said), said, (*said[1:], ""), strict=False)
    return any(
        word in strange
        and word[0].isalnum()
        and (before in _OUT_OF_NUMBER or after in _INTO_NUMBER or numbers & {before, after})
        for before, word, after in around
    )


def _in_pieces(said: Words, strange: Words, lexicon: Lexicon) -> Understanding:
    """The birds and weights that can be made out in words that do not fit together."""
    pieces, left = _pieces(said, lexicon)
    birds = {one.named: one for one in pieces if one.named}
    weights = [weight for one in pieces for weight in one.weights]
    if len(birds) > 1:
        of_one = DoseWanted(weights=tuple(weights) if len(weights) == 1 else ())
        return Understanding((of_one,), Doubt.TWO_BIRDS, tuple(b.spoken for b in birds.values()))
    if not birds and not weights:
        return Understanding((), Doubt.NOT_UNDERSTOOD, strange or said)
    units = _units(said, strange)
    torn = bool(birds) and _in_a_number(said, strange or left)
    # the figures of a ring that is not known are no weight
    of_ring = speaks_of_ring(left) and any(is_number_word(one.said.split()[-1]) for one in weights)
    bird = next(iter(birds.values()), DoseWanted())
    clear = not (units or torn or of_ring or bird.spoken in lexicon.plurals)
    sure = len(weights) == 1 and clear
    told = tuple(dict.fromkeys(condition for one in pieces for condition in one.conditions))
    kept = tuple(weights) if sure else ()
    pieced = DoseWanted(bird.named, bird.spoken, kept, conditions=told, sex=bird.sex)
    if units:
        return Understanding((pieced,), Doubt.UNKNOWN_UNIT, units)
    doubt = Doubt.UNKNOWN_WORD if strange else Doubt.NOT_FOLLOWED
    return Understanding((pieced,), doubt, strange or left or said)


def _pieces(said: Words, lexicon: Lexicon) -> tuple[list[DoseWanted], Words]:
    """The longest stretches that are a bird or a weight by themselves, and the words left over."""
    pieces: list[DoseWanted] = []
    left: list[str] = []
    chart = lexicon.matcher.chart(said)
    at = 0
    while at < len(said):
        end, found = _longest_piece(said, at, chart, lexicon)
        if found and not _weighs_nothing(found, said[:at], said[end:]):
            pieces.append(found)
        else:
            left += said[at:end]
        at = end
    return pieces, tuple(left)


def _weighs_nothing(found: DoseWanted, before: Words, after: Words) -> bool:
    """Whether a number stands for a bird, as in "that one", counts birds, or is a cage's."""
    if found.named:
        return False
    counts = is_number_word(found.weights[-1].said.split()[-1]) if found.weights else False
    if counts and not _COUNTED.isdisjoint(after[:1]):
        return True
    one = [weight.said for weight in found.weights] == ["one"]
    return one or not _CAGES.isdisjoint(before[-1:])


def _longest_piece(
    said: Words, at: int, chart: Chart, lexicon: Lexicon
) -> tuple[int, DoseWanted | None]:
    for end in range(min(len(said), at + PIECE_WORDS), at, -1):
        for request in _stretch(chart, said, lexicon, at, end):
            if isinstance(request, DoseWanted):
                return end, request
            if isinstance(request, Plain) and request.kind in set(Condition):
                return end, DoseWanted(conditions=(Condition(request.kind),))
    return at + 1, None


def _bird_alone(said: Words, lexicon: Lexicon) -> tuple[Request, ...]:
    """The bird that was named, when the number beside it cannot be used."""
    names = tuple(word for word in said if word[0] not in "-.0123456789")
    found = [one for one in _pieces(names, lexicon)[0] if one.named]
    return tuple(DoseWanted(one.named, one.spoken) for one in found[:1])
