"""Made-up pronunciations against the CMU dictionary, on words that the rules were not made on.

The sample is the same each time, so the figures change only with espeak-ng, pocketsphinx's
dictionary or our rules.  The limits lie a few per cent below what is measured; with any one of ə,
ɪ, ɛ, æ, ɚ, n and oʊ mapped to another phone, at least one of them is missed (tried with each).
"""

from __future__ import annotations

import pytest

from assistant.bench.phones_bench import Agreement, measure, read_dictionary, read_part


@pytest.fixture(scope="module")
def agreements() -> dict[str, Agreement]:
    return {one.accent: one for one in measure("test", 1500)}


def test_the_two_halves_share_no_word():
    dictionary = read_dictionary()
    halves = [set(read_part(part)) for part in ("development", "test")]
    assert halves[0] & halves[1] == set()
    assert halves[0] | halves[1] == set(dictionary)
    assert len(dictionary) > 120_000


@pytest.mark.parametrize(
    ("accent", "exact", "phone_errors"),
    [
        ("en-us", 0.58, 0.108),
        ("en", 0.37, 0.16),
        ("en-gb-x-rp", 0.355, 0.165),
        ("all together", 0.59, 0.102),
    ],
)
def test_the_agreement_is_as_published(
    agreements: dict[str, Agreement], accent: str, exact: float, phone_errors: float
):
    assert agreements[accent].exact >= exact
    assert agreements[accent].phone_errors <= phone_errors
