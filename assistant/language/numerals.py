"""Numbers as keepers say and write them, to exact decimals and back to words.

Understood: whole words ("one hundred and five"), with and without "and", "a hundred", hundreds
left unsaid ("two sixty" is 260, "twelve fifty" is 1250), digit by digit ("one oh five", "double
five"), decimals ("nought point four"), halves and quarters, and figures ("1,200", "0.4", ".4").
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

ZEROS = ("zero", "oh", "nought", "naught", "o")
DIGITS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TEENS = (
    "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen",
    "eighteen", "nineteen",
)  # fmt: skip
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")

_DIGIT = {word: value for value, word in enumerate(DIGITS, start=1)}
_FIGURE = {**_DIGIT, **dict.fromkeys(ZEROS, 0)}
_TEEN = {word: value for value, word in enumerate(TEENS, start=10)}
_TENS = {word: 10 * tens for tens, word in enumerate(TENS, start=2)}
_FRACTION = {
    ("a", "half"): Decimal("0.5"),
    ("half", "a"): Decimal("0.5"),
    ("half", "an"): Decimal("0.5"),
    ("half",): Decimal("0.5"),
    ("a", "quarter"): Decimal("0.25"),
    ("a", "quarter", "of", "a"): Decimal("0.25"),
    ("quarter", "of", "a"): Decimal("0.25"),
    ("quarter",): Decimal("0.25"),
    ("three", "quarters"): Decimal("0.75"),
    ("three", "quarters", "of", "a"): Decimal("0.75"),
}
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_UNGROUPED = re.compile(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+")

LONGEST_FIGURE = 15
"""Signs in the longest number that is read; no scale shows as many."""


_OTHER = frozenset({"hundred", "thousand", "half", "quarter", "quarters", "double"})


class NumberProblem(ValueError):
    """Words that are no number; the message holds them."""


def value(words: Sequence[str]) -> Decimal:
    """The number that the words say, exactly; raises NumberProblem when they say none."""
    if len(words) == 1 and words[0][:1] in tuple(".0123456789"):
        return _from_figures(words[0])
    if fraction := _FRACTION.get(tuple(words)):
        return fraction
    if "point" in words:
        cut = words.index("point")
        return _whole(words[:cut] or ["zero"]) + _decimals(words[cut + 1 :])
    for tail, part in _FRACTION.items():
        if tuple(words[-len(tail) - 1 :]) == ("and", *tail) and len(words) > len(tail) + 1:
            return _whole_or_figures(words[: -len(tail) - 1]) + part
    return Decimal(_whole(words))


def _whole_or_figures(words: Sequence[str]) -> Decimal:
    if len(words) == 1 and words[0][0].isdigit():
        return _from_figures(words[0])
    return Decimal(_whole(words))


def _from_figures(text: str) -> Decimal:
    if len(text) > LONGEST_FIGURE:
        raise NumberProblem(f"'{text[:LONGEST_FIGURE]}…' is too long a number")
    if _GROUPED.fullmatch(text):
        return Decimal(text.replace(",", ""))
    if _UNGROUPED.fullmatch(text):
        return Decimal(text)
    raise NumberProblem(f"'{text}' is not a number that can be read only one way")


def _decimals(words: Sequence[str]) -> Decimal:
    digits = digits_said(words)
    if digits is None:
        digits = str(_below_hundred(words))
    return Decimal(f"0.{digits}")


def _whole(words: Sequence[str]) -> int:
    said = [word for word in words if word != "and"]
    if not said:
        raise NumberProblem(f"'{' '.join(words)}' is not a number")
    if (digits := digits_said(said)) is not None:
        return int(digits)
    if "thousand" in said:
        cut = said.index("thousand")
        tail = said[cut + 1 :]
        return _below_hundred(said[:cut] or ["a"]) * 1000 + (_below_thousand(tail) if tail else 0)
    return _below_thousand(said)


def _below_thousand(words: Sequence[str]) -> int:
    if "hundred" in words:
        cut = words.index("hundred")
        tail = words[cut + 1 :]
        return _below_hundred(words[:cut] or ["a"]) * 100 + (_below_hundred(tail) if tail else 0)
    return _hundreds_unsaid(words)


def _hundreds_unsaid(words: Sequence[str]) -> int:
    """'two sixty' and 'twelve fifty': the word before the tens or teens counts hundreds."""
    head, tail = words[:1], words[1:]
    if tail and tail[0] in (*TEENS, *TENS) and head[0] in (*DIGITS, *TEENS):
        return _below_hundred(head) * 100 + _below_hundred(tail)
    return _below_hundred(words)


def _below_hundred(words: Sequence[str]) -> int:
    match tuple(words):
        case ("a" | "an",):
            return 1
        case (word,) if word in _TEEN:
            return _TEEN[word]
        case (word,) if word in _FIGURE:
            return _FIGURE[word]
        case (word,) if word in _TENS:
            return _TENS[word]
        case (tens, digit) if tens in _TENS and digit in _DIGIT:
            return _TENS[tens] + _DIGIT[digit]
        case (zero, digit) if zero in ZEROS and digit in _DIGIT:
            return _DIGIT[digit]
    raise NumberProblem(f"'{' '.join(words)}' is not a number")


def digits_said(words: Sequence[str]) -> str | None:
    """The digits as text when every word is a digit (or doubles the next one), else None."""
    digits = ""
    times = 1
    for word in words:
        if word == "double" and times == 1:
            times = 2
        elif word in _FIGURE:
            digits += str(_FIGURE[word]) * times
            times = 1
        else:
            return None
    return digits if digits and times == 1 else None


def is_number_word(word: str) -> bool:
    """Whether a word can be part of a number, other than "a", "and" and "point"."""
    return (
        word in _FIGURE
        or word in _TEEN
        or word in _TENS
        or word in _OTHER
        or word[0] in "0123456789"
    )


def is_whole(number: Decimal) -> bool:
    """Whether a number has no fraction."""
    return number == number.to_integral_value()


def words(number: Decimal) -> str:
    """A number from 0 in words, its decimals digit by digit: 0.48 is "zero point four eight".

    From 100,000 on the whole part is spelt out in digits too.
    """
    whole = int(number)
    said = _whole_words(whole) if whole < 100_000 else digit_words(str(whole))
    text = format(number, "f")
    if "." not in text or is_whole(number):
        return said
    return f"{said} point {digit_words(text.split('.')[1].rstrip('0'))}"


def digit_words(digits: str) -> str:
    """The digits one by one: '15' is 'one five'."""
    names = ("zero", *DIGITS)
    return " ".join(names[int(digit)] for digit in digits)


def _whole_words(number: int) -> str:
    if number < 10:
        return ("zero", *DIGITS)[number]
    if number < 20:
        return TEENS[number - 10]
    if number < 100:
        tens, digit = divmod(number, 10)
        return " ".join(filter(None, [TENS[tens - 2], digit and DIGITS[digit - 1]]))  # type: ignore[list-item]  # 0 is filtered out
    size, name = (1000, "thousand") if number >= 1000 else (100, "hundred")
    head, tail = divmod(number, size)
    said = f"{_whole_words(head)} {name}"
    if not tail:
        return said
    return f"{said} and {_whole_words(tail)}" if tail < 100 else f"{said} {_whole_words(tail)}"


def sounds_alike(number: Decimal) -> bool:
    """Whether its whole part ends in a teen or in tens that sound like one (13 and 30 … 19 and 90).

    Source: the pairs of the reference table for spoken doses; each is a wrong dose by a factor of
    2 to 5, so such a number is read back digit by digit.
    """
    tail = int(number) % 100
    return 13 <= tail <= 19 or (tail >= 30 and tail % 10 == 0)


def confusable(one: Decimal, other: Decimal) -> bool:
    """Whether two numbers may be taken for each other when they are said.

    So they are where one, word by word, is the other with words left out or with words that sound
    alike in their place: 15 and 50, 180 and 80, 95 and 99, 113 and 30.
    """
    shorter, longer = sorted((_spoken(one), _spoken(other)), key=len)
    rest = iter(longer)
    return all(any(_sound_alike(word, heard) for heard in rest) for word in shorter)


def _spoken(number: Decimal) -> list[str]:
    return [word for word in words(number).split() if word != "and"]


def _sound_alike(one: str, other: str) -> bool:
    """Teens and tens by the table of spoken doses; five and nine from memory: radio says niner."""
    pair = {one, other}
    return one == other or pair == {"five", "nine"} or pair in _TEEN_AND_TENS


_TEEN_AND_TENS = [set(pair) for pair in zip(TEENS[3:], TENS[1:], strict=True)]
