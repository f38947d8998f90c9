"""From espeak-ng's phonemes, written in IPA, to the phones of the CMU Pronouncing Dictionary.

Sources.  The sounds of the 39 phones: the README of CMUdict 0.7 (odd, at, hut, ought, cow, …) and
the table of them in IPA in the CMUSphinx wiki, page "cmubet".  The names of the IPA symbols: the
Handbook of the International Phonetic Association (1999), from memory.  Where CMUdict writes one
sound in several ways, the way it takes most often was counted in the development half of
`assistant/bench/phones_bench.py`; each such rule says so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache


def _table(text: str) -> dict[str, str]:
    """Pairs such as "ŋ NG, n̩ AH N": a symbol of the IPA, and the phones for it."""
    pairs = (entry.strip().partition(" ") for entry in text.split(","))
    return {ipa: phones for ipa, _, phones in pairs}


_CONSONANTS = (
    _table("p P, b B, t T, d D, k K, ɡ G, f F, v V, θ TH, ð DH, s S, z Z, ʃ SH, ʒ ZH, tʃ CH, dʒ JH")
    | _table("h HH, m M, n N, ŋ NG, l L, ɹ R, r R, j Y, w W")
    # what CMUdict has no phone for, by the one it writes instead: the flap of butter B AH T ER, the
    # stop and the syllabic n of button B AH T AH N, bach B AA K, which W IH CH, dark l L
    | _table("ɾ T, ʔ T, n̩ AH N, l̩ AH L, m̩ AH M, x K, ʍ W, ɫ L, t̪ TH, d̪ DH, ç HH, ɬ L, ɲ N Y")
)

_VOWELS = (
    # those of the CMUSphinx table, long or short alike: the phones do not tell length
    _table("ɑ AA, æ AE, ʌ AH, ɔ AO, ɛ EH, ɜ ER, ɪ IH, i IY, ʊ UH, u UW")
    | _table("aʊ AW, aɪ AY, eɪ EY, oʊ OW, ɔɪ OY")
    # unstressed: CMUdict writes AH for schwa (about AH B AW T), ER for one with an r in it, and
    # IH for the vowel between ɪ and schwa (roses R OW Z IH Z)
    | _table("ə AH, ɐ AH, ɚ ER, ɝ ER, ᵻ IH")
    # British: trap is nearest to AE; lot is rounded, as AO is and AA is not; goat; and square,
    # near and cure before an r that is not spoken
    | _table("a AE, ɒ AO, əʊ OW, eə EH AH, iə IY AH, ɪə IH AH, ʊə UH AH")
    # the vowels of Scotland, of Wales, and of names from abroad
    | _table("e EY, o OW, ʉ UW, y UW, ø ER, œ ER, ɑ̃ AA N, ɔ̃ AO N")
)

_PHONES = _CONSONANTS | _VOWELS
_LONGEST = max(map(len, _PHONES))

_LANGUAGE_FLAG = re.compile(r"\([a-z-]+\)")
_STRESS = "ˈˌ"
_LENGTH = "ː:"
_R = frozenset({"ɹ", "r"})
_PALATALS = frozenset({"ʃ", "tʃ", "dʒ"}) | _R
_BEFORE_R = {"eə": "EH", "iə": "IH", "ɪə": "IH", "ʊə": "UH", "ə": "ER", "ɐ": "ER"}
_TAKES_R = frozenset({"ɚ", "ɝ", "ɜ", "ə", "ɐ"}) | _R


@dataclass(frozen=True, slots=True)
class _Sound:
    """One symbol of the table without its length, and whether stress lies on it."""

    ipa: str
    stressed: bool
    long: bool


_SILENCE = _Sound("", stressed=False, long=False)


def arpabet(phonemes: str) -> str | None:
    """The phones of CMUdict, without stress and with a space between, for phonemes in IPA.

    The phonemes are those of espeak-ng 1.52 with "_" between them, so that the t and ʃ of
    "hot_shot" are not taken for one sound.  None when there are no phonemes or one of them is
    unknown: a word is better not heard than heard as something else.
    """
    sounds = _sounds(phonemes)
    if not sounds:
        return None
    around = zip((_SILENCE, *sounds), sounds, (*sounds[1:], _SILENCE), strict=False)
    return " ".join(filter(None, (_phones(*three) for three in around)))


def pronunciations(variants: Iterable[str]) -> tuple[str, ...]:
    """The distinct pronunciations of a word from its phonemes in several accents, in order."""
    return tuple(dict.fromkeys(phones for one in variants if (phones := arpabet(one))))


def _sounds(phonemes: str) -> Sequence[_Sound]:
    """The sounds one by one; none at all when one of them is unknown."""
    found: list[_Sound] = []
    for segment in re.split(r"[_\s]+", _LANGUAGE_FLAG.sub(" ", phonemes)):
        parts = _parts(segment.translate(_NO_STRESS))
        if parts is None:
            return ()
        stressed = any(mark in segment for mark in _STRESS)
        found += (_Sound(ipa, stressed, long) for ipa, long in parts)
    return found


_NO_STRESS = {ord(mark): None for mark in _STRESS}


@cache
def _parts(segment: str) -> Sequence[tuple[str, bool]] | None:
    """A segment such as aɪɚ or ɑːɹ cut into symbols of the table, the longest first."""
    parts: list[tuple[str, bool]] = []
    while segment:
        sizes = range(min(_LONGEST, len(segment)), 0, -1)
        size = next((size for size in sizes if segment[:size] in _PHONES), 0)
        if not size:
            return None
        rest = segment[size:]
        parts.append((segment[:size], rest[:1] != "" and rest[0] in _LENGTH))
        segment = rest.lstrip(_LENGTH)
    return tuple(parts)


def _phones(before: _Sound, sound: _Sound, after: _Sound) -> str:
    """The phones of a sound between its neighbours; the empty text where CMUdict writes none.

    A schwa and the r after it are one ER (general JH EH N ER AH L; 355 of 357 words of the
    development half), and so is an r that espeak-ng writes twice, as in kˈæ_k_ɑːɹ_ɹ_ˌɪ_k_i.
    """
    if sound.ipa in _R:
        return "" if before.ipa in _TAKES_R else "R"
    if after.ipa in _R and sound.ipa in _BEFORE_R:
        return _BEFORE_R[sound.ipa]
    if sound.ipa == "j" and before.ipa in _PALATALS and after.ipa in {"u", "ʊ"}:
        return ""
    return _by_custom(sound, after) or _PHONES[sound.ipa]


def _by_custom(sound: _Sound, after: _Sound) -> str:
    """What CMUdict writes by custom, as counted in the development half.

    An unstressed ɪ before a vowel is IY (serbian, 149 of 169), and so is one that ends a word, as
    in the older British way to say happy (CMUdict ends 19 of its entries so, all of them odd);
    short ɔ before n is AA (fonts, 26 of 29); an unstressed ʊ before l is AH (formulate, 25 of 34).
    """
    if sound.ipa == "ɔ" and not sound.long and after.ipa == "n":
        return "AA"
    if sound.ipa == "ɪ" and not sound.stressed and (after.ipa in _VOWELS or after == _SILENCE):
        return "IY"
    return "AH" if sound.ipa == "ʊ" and not sound.stressed and after.ipa == "l" else ""
