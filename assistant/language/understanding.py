"""Words to requests: strictly by the grammar first, and only then with a question ready.

Nothing is dropped or changed in silence.  A misspelt bird name that is near one bird and far from
all others is taken, since the answer reads it back; any other repair is asked about first.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import combinations, pairwise

from assistant.dosing.species import Species
from assistant.language.lexicon import Lexicon
from assistant.language.names import near_words, nearest
from assistant.language.numerals import NumberProblem, is_number_word, value
from assistant.language.reading import read_marks
from assistant.language.requests import DoseWanted, Plain, Request
from assistant.language.tokens import LONGEST_WORDS, is_too_long, tokens
from assistant.language.tree import FIGURE, plain

NAME_WORDS = 4
"""The longest stretch of words that is looked at as one misspelt name."""

PIECE_WORDS = 8
"""The longest stretch that is looked at as a bird or a weight by itself."""

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
    TWO_BIRDS = "two_birds"
    NOT_FOLLOWED = "not_followed"
    NOT_UNDERSTOOD = "not_understood"


@dataclass(frozen=True, slots=True)
class Understanding:
    """What an utterance may mean.

    Without a doubt, `requests` holds one reading, or several to ask about.  With one, they are
    what it would mean if the doubt were settled, and `words` are those in doubt.
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
    if requests := _requests(said, lexicon):
        return Understanding(requests)
    return _with_doubt(said, lexicon)


def _requests(said: Words, lexicon: Lexicon) -> tuple[Request, ...]:
    """Every distinct reading; one with fewer weights in it is preferred to one with more."""
    requests: set[Request] = set()
    for marks in lexicon.matcher.readings(said):
        # a reading whose number makes no sense is no reading
        with suppress(NumberProblem):
            requests.add(read_marks(marks, said, lexicon))
    fewest = min((_weights(request) for request in requests), default=0)
    return tuple(sorted((r for r in requests if _weights(r) == fewest), key=repr))


def _weights(request: Request) -> int:
    return len(request.weights) if isinstance(request, DoseWanted) else 1


def _with_doubt(said: Words, lexicon: Lexicon) -> Understanding:
    """The first repair that makes sense of the words, or what can be made out of them."""
    strange = tuple(word for word in said if _is_strange(word, lexicon))
    if any(word[0] == "-" or word == "minus" for word in said):
        return Understanding(_bird_alone(said, lexicon), Doubt.NEGATIVE, strange)
    mended = _with_near_names(said, strange, lexicon)
    if mended != said:
        if requests := _requests(mended, lexicon):
            return Understanding(requests)
        said, strange = mended, tuple(word for word in mended if _is_strange(word, lexicon))
    return (
        _near_word(said, strange, lexicon)
        or _near_names(said, strange, lexicon)
        or _without_strangers(said, strange, lexicon)
        or _in_pieces(said, strange, lexicon)
    )


def _is_strange(word: str, lexicon: Lexicon) -> bool:
    return plain(word) not in lexicon.vocabulary and _odd_figure(word)


def _odd_figure(word: str) -> bool:
    """Whether a word is anything but a figure that can be read in just one way."""
    try:
        value([word])
    except NumberProblem:
        return True
    return FIGURE.fullmatch(word) is None


def _stretches(said: Words, strange: Words, lexicon: Lexicon) -> Iterator[tuple[int, int]]:
    """Where one misspelt name may stand: it holds a strange word, and no known name."""
    for length in range(1, NAME_WORDS + 1):
        for start in range(len(said) - length + 1):
            stretch = said[start : start + length]
            if set(stretch) & set(strange) and not _holds_a_name(stretch, lexicon):
                yield start, start + length


def _holds_a_name(stretch: Words, lexicon: Lexicon) -> bool:
    folded = [plain(word) for word in stretch]
    spans = combinations(range(len(folded) + 1), 2)
    return any(" ".join(folded[a:b]) in lexicon.bird_names for a, b in spans)


def _with_near_names(said: Words, strange: Words, lexicon: Lexicon) -> Words:
    """The words with each misspelt name that is near just one bird put right."""
    for start, end in reversed(list(_stretches(said, strange, lexicon))):
        near = nearest(" ".join(map(plain, said[start:end])), lexicon.bird_names)
        if near.taken:
            return (*said[:start], *near.taken.split(), *said[end:])
    return said


def _near_names(said: Words, strange: Words, lexicon: Lexicon) -> Understanding | None:
    """The birds that one misspelt name is near to, each put into the request."""
    for start, end in _stretches(said, strange, lexicon):
        near = nearest(" ".join(map(plain, said[start:end])), lexicon.bird_names)
        options = [(*said[:start], *name.split(), *said[end:]) for name in near.suggested]
        requests = tuple(r for option in options for r in _requests(option, lexicon))
        if requests:
            return Understanding(requests, Doubt.NEAR_NAME, said[start:end], near.suggested)
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
    known = tuple(word for word in said if word not in strange)
    requests = _requests(known, lexicon) if strange and known else ()
    doses = tuple(request for request in requests if isinstance(request, DoseWanted))
    if not doses or len(doses) < len(requests):
        return None
    if units := _after_numbers(said, strange):
        weightless = tuple(replace(dose, weights=()) for dose in doses)
        return Understanding(weightless, Doubt.UNKNOWN_UNIT, units)
    return Understanding(doses, Doubt.UNKNOWN_WORD, strange)


def _after_numbers(said: Words, strange: Words) -> Words:
    """The strange words that stand where a unit would: right after a number."""
    return tuple(
        word for before, word in pairwise(said) if word in strange and is_number_word(before)
    )


def _in_pieces(said: Words, strange: Words, lexicon: Lexicon) -> Understanding:
    """The birds and weights that can be made out in words that do not fit together."""
    pieces, left = _pieces(said, lexicon)
    birds = {one.named: one for one in pieces if one.named}
    weights = [weight for one in pieces for weight in one.weights]
    if len(birds) > 1:
        return Understanding((), Doubt.TWO_BIRDS, tuple(one.spoken for one in birds.values()))
    if not birds and not weights:
        return Understanding((), Doubt.NOT_UNDERSTOOD, strange or said)
    bird = next(iter(birds.values()), DoseWanted())
    pieced = DoseWanted(bird.named, bird.spoken, tuple(weights) if len(weights) == 1 else ())
    doubt = Doubt.UNKNOWN_WORD if strange else Doubt.NOT_FOLLOWED
    return Understanding((pieced,), doubt, strange or left or said)


def _pieces(said: Words, lexicon: Lexicon) -> tuple[list[DoseWanted], Words]:
    """The longest stretches that are a bird or a weight by themselves, and the words left over."""
    pieces: list[DoseWanted] = []
    left: list[str] = []
    at = 0
    while at < len(said):
        end, found = _longest_piece(said, at, lexicon)
        if found:
            pieces.append(found)
        else:
            left.append(said[at])
        at = end
    return pieces, tuple(left)


def _longest_piece(said: Words, at: int, lexicon: Lexicon) -> tuple[int, DoseWanted | None]:
    for end in range(min(len(said), at + PIECE_WORDS), at, -1):
        for request in _requests(said[at:end], lexicon):
            if isinstance(request, DoseWanted):
                return end, request
    return at + 1, None


def _bird_alone(said: Words, lexicon: Lexicon) -> tuple[Request, ...]:
    """The bird that was named, when the number beside it cannot be used."""
    names = tuple(word for word in said if word[0] not in "-.0123456789")
    found = [one for one in _pieces(names, lexicon)[0] if one.named]
    return tuple(DoseWanted(one.named, one.spoken) for one in found[:1])


def meant_species(request: Request) -> tuple[str, ...]:
    """The common names of the species that a request may be about."""
    if not isinstance(request, DoseWanted):
        return ()
    return tuple(
        dict.fromkeys(
            one.name if isinstance(one, Species) else one.species for one in request.named
        )
    )


def is_plain(request: Request, kind: str) -> bool:
    """Whether a request is the plain one of this kind."""
    return isinstance(request, Plain) and request.kind == kind
