"""How well made-up pronunciations agree with the CMU dictionary that pocketsphinx carries.

`python -m assistant.bench.phones_bench [test|development|birds] [COUNT]` takes COUNT words (4000)
at random, always the same ones, and prints for each accent of espeak-ng, and for all together:

- exact: the words of which a pronunciation is one that the dictionary lists, phone for phone;
- phone errors: phones to put in, take out or change to reach the nearest listed pronunciation, per
  phone of that one.

The rules of `assistant.language.phones` were made on the development half, whose commonest
differences are printed too; the test half was not looked at.  The third part is the words of
grammar/pronunciations.dict that the engine's dictionary lacks, birds nearly all: written by ear, no
source.  Every word that came out otherwise is printed.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from rapidfuzz.distance import Levenshtein

from assistant.adapters.ears.espeak_phones import ACCENTS, EspeakPhones
from assistant.adapters.ears.pronunciations import dictionary_lines
from assistant.adapters.home.grammar_file import PRONUNCIATIONS, grammar_text
from assistant.language.phones import arpabet

SEED = 2024
PARTS = ("development", "test", "birds")

_WORD = re.compile(r"[a-z]+(?:'[a-z]+)?")
_ALL = "all together"

Phones = tuple[str, ...]
Dictionary = Mapping[str, Sequence[Phones]]


@dataclass(frozen=True, slots=True)
class Difference:
    """One word as it came out in one accent, or in the best of several, and as it is listed."""

    made: Phones
    listed: Phones

    @property
    def errors(self) -> int:
        """Phones to put in, take out or change."""
        return Levenshtein.distance(self.made, self.listed)


@dataclass(frozen=True, slots=True)
class Agreement:
    """All words in one accent."""

    accent: str
    differences: Sequence[Difference]

    @property
    def exact(self) -> float:
        """The share of words that came out as the dictionary has them."""
        return sum(not one.errors for one in self.differences) / len(self.differences)

    @property
    def phone_errors(self) -> float:
        """Errors per listed phone."""
        listed = sum(len(one.listed) for one in self.differences)
        return sum(one.errors for one in self.differences) / listed


@cache
def read_dictionary() -> Dictionary:
    """The words of pocketsphinx's dictionary: two letters or more, no abbreviations."""
    return _parse("\n".join(dictionary_lines()))


def read_part(part: str) -> Dictionary:
    """The words of one part, in a random order that is always the same."""
    dictionary = read_dictionary()
    if part == "birds":
        own = _parse(grammar_text(PRONUNCIATIONS))
        return {word: listed for word, listed in own.items() if word not in dictionary}
    words = sorted(dictionary)
    random.Random(SEED).shuffle(words)  # noqa: S311 - a sample, no secret
    half = len(words) // 2
    chosen = words[:half] if part == "development" else words[half:]
    return {word: dictionary[word] for word in chosen}


def _parse(text: str) -> Dictionary:
    listed: dict[str, list[Phones]] = {}
    for line in filter(None, text.splitlines()):
        name, *phones = line.split()
        word = name.partition("(")[0]
        if len(word) > 1 and _WORD.fullmatch(word):
            listed.setdefault(word, []).append(tuple(phones))
    return listed


def measure(part: str, count: int) -> Sequence[Agreement]:
    """The agreement in each accent, and of all accents together as the last."""
    dictionary = read_part(part)
    words = list(dictionary)[:count]
    spelt = EspeakPhones(limit_s=60).spell(words)
    columns: dict[str, list[Difference]] = {name: [] for name in (*ACCENTS, _ALL)}
    for word in words:
        made = [tuple((arpabet(one) or "").split()) for one in spelt.get(word, [""] * len(ACCENTS))]
        for accent, phones in zip(ACCENTS, made, strict=True):
            columns[accent].append(_nearest([phones], dictionary[word]))
        columns[_ALL].append(_nearest(made, dictionary[word]))
    return [Agreement(accent, found) for accent, found in columns.items()]


def _nearest(made: Sequence[Phones], listed: Sequence[Phones]) -> Difference:
    pairs = (Difference(ours, theirs) for ours in made for theirs in listed)
    return min(pairs, key=lambda one: one.errors)


def _commonest(differences: Sequence[Difference], count: int) -> str:
    """The changes needed most often, as made>listed and how often."""
    found: Counter[str] = Counter()
    for one in differences:
        for change in Levenshtein.editops(one.made, one.listed):
            made = "-" if change.tag == "insert" else one.made[change.src_pos]
            listed = "-" if change.tag == "delete" else one.listed[change.dest_pos]
            found[f"{made}>{listed}"] += 1
    return ", ".join(f"{change} {times}" for change, times in found.most_common(count))


def main(part: str, count: int) -> None:
    """Measure and print."""
    agreements = measure(part, count)
    total = len(agreements[0].differences)
    lines = [f"{total} words of the {part} part", "accent         exact   phone errors"]
    lines += [f"{one.accent:14} {one.exact:5.1%}   {one.phone_errors:5.1%}" for one in agreements]
    if part == "birds":
        lines += [
            f"{' '.join(one.listed)}: {' '.join(one.made)}"
            for one in agreements[-1].differences
            if one.errors
        ]
    if part == "development":
        lines += [f"{one.accent}: {_commonest(one.differences, 12)}" for one in agreements]
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    part, count, *_ = [*sys.argv[1:], *("test", "4000")[len(sys.argv) - 1 :]]
    if part not in PARTS or not count.isdecimal():
        sys.exit(f"say {' or '.join(PARTS)}, and how many words")
    main(part, int(count))
