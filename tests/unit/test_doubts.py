"""What is made out of words that do not fit the grammar, and what is put right in them."""

from __future__ import annotations

import pytest

from assistant.language.repairs import put_right, suggestions
from assistant.language.requests import DoseWanted, Plain
from assistant.language.tokens import tokens
from assistant.language.understanding import HESITATIONS, Doubt, understand
from tests.talk_scene import demo_lexicon


def made_out(text: str) -> tuple[Doubt | None, str, str, str]:
    """The doubt, the words in doubt, and the one bird and its weights that were made out."""
    found = understand(text, demo_lexicon())
    (wanted,) = found.requests or (DoseWanted(),)
    assert isinstance(wanted, DoseWanted), wanted
    grams = " ".join(str(weight.grams) for weight in wanted.weights)
    return found.doubt, " ".join(found.words), wanted.spoken, grams


@pytest.mark.parametrize("unit", ["cc", "ml", "mls", "mil", "mils", "millilitres", "milliliters"])
def test_a_volume_is_no_weight(unit: str):
    assert made_out(f"galah 95 {unit}") == (Doubt.UNKNOWN_UNIT, unit, "galah", "")


@pytest.mark.parametrize("hesitation", sorted(HESITATIONS))
def test_a_hesitation_is_passed_over(hesitation: str):
    assert made_out(f"galah {hesitation} ninety five") == (None, "", "galah", "95")


def test_the_hesitations_that_are_known():
    assert {"um", "umm", "uh", "er", "erm", "hm", "hmm", "ah", "eh", "mm"} == HESITATIONS


@pytest.mark.parametrize(
    "rest",
    [
        *("a kilo", "an ounce", "half a kilo", "quarter of a kilo", "of a kilo"),
        *("point five kilos", "about ninety", "95", "ninety five grams"),
    ],
)
def test_a_strange_word_before_a_number_may_have_belonged_to_it(rest: str):
    assert made_out(f"galah zorp {rest}") == (Doubt.UNKNOWN_WORD, "zorp", "galah", "")


@pytest.mark.parametrize("begin", ["one hundred and", "nought point", "about", "95 and"])
def test_a_strange_word_after_a_number_may_have_belonged_to_it(begin: str):
    assert made_out(f"galah {begin} zorp") == (Doubt.UNKNOWN_WORD, "zorp", "galah", "")


@pytest.mark.parametrize(
    ("text", "doubt", "words", "bird", "grams"),
    [
        ("zorp galah 95", Doubt.UNKNOWN_WORD, "zorp", "galah", "95"),
        ("lovely galah 95 weather", Doubt.UNKNOWN_UNIT, "weather", "galah", ""),
        ("galah the lovely weather today", Doubt.UNKNOWN_WORD, "lovely weather", "galah", ""),
        ("lovely weather 95 kilos", Doubt.UNKNOWN_WORD, "lovely weather", "", "95000"),
        ("zorp 95 grams", Doubt.UNKNOWN_WORD, "zorp", "", "95"),
        ("95 grams zorp", Doubt.UNKNOWN_WORD, "zorp", "", "95"),
        ("95 zorp", Doubt.UNKNOWN_UNIT, "zorp", "", ""),
        ("galah 95x", Doubt.UNKNOWN_UNIT, "x", "galah", ""),
        ("galah lovely 95 lovely 96", Doubt.UNKNOWN_UNIT, "lovely", "galah", ""),
        ("pepper 1e9", Doubt.UNKNOWN_WORD, "1e9", "pepper", ""),
        ("galah minus five", Doubt.NEGATIVE, "minus five", "galah", ""),
        ("galah minus ninety five grams", Doubt.NEGATIVE, "minus ninety five grams", "galah", ""),
        ("galah negative five", Doubt.NEGATIVE, "negative five", "galah", ""),
        ("galah -5 grams", Doubt.NEGATIVE, "-5", "galah", ""),
        ("galah pepper -5", Doubt.NEGATIVE, "-5", "galah", ""),
        ("95 -5", Doubt.NEGATIVE, "-5", "", ""),
        ("galah minus", Doubt.NOT_FOLLOWED, "minus", "galah", ""),
        ("minus galah", Doubt.NOT_FOLLOWED, "minus", "galah", ""),
        ("galah 95 -", None, "", "galah", "95"),
        ("aviary zorp", Doubt.UNKNOWN_CAGE, "zorp", "", ""),
        ("flight zorp", Doubt.UNKNOWN_CAGE, "zorp", "", ""),
        ("pen zorp blue", Doubt.UNKNOWN_CAGE, "zorp blue", "", ""),
        ("cage", Doubt.NOT_UNDERSTOOD, "cage", "", ""),
        ("ring 999", Doubt.NOT_FOLLOWED, "ring", "", ""),
        ("ring 999 pepper", Doubt.NOT_FOLLOWED, "ring", "pepper", ""),
        ("ring 999 95 grams", Doubt.NOT_FOLLOWED, "ring", "", ""),
        ("galah 95 ring 999", Doubt.NOT_FOLLOWED, "ring", "galah", ""),
        ("that one", Doubt.NOT_UNDERSTOOD, "that one", "", ""),
        ("two birds", Doubt.NOT_UNDERSTOOD, "two birds", "", ""),
        ("95 birds galah", Doubt.NOT_FOLLOWED, "95 birds", "galah", ""),
        ("galah budgie", Doubt.TWO_BIRDS, "galah budgie", "", ""),
        ("galah budgie 95", Doubt.TWO_BIRDS, "galah budgie", "", "95"),
        ("galah 95 budgie 30", Doubt.TWO_BIRDS, "galah budgie", "", ""),
        ("cockatiel ninty", Doubt.NEAR_WORD, "ninty", "cockatiel", "90"),
        ("bantam hen 900", None, "", "bantam", "900"),
    ],
)
def test_what_can_be_made_out_of_words(
    text: str, doubt: Doubt | None, words: str, bird: str, grams: str
):
    assert made_out(text) == (doubt, words, bird, grams)


@pytest.mark.parametrize(
    ("text", "without"),
    [
        ("zorp galah 330 half dose", "galah 330 half dose"),
        ("marigold for the zorp galah 330", "marigold for the galah 330"),
        ("male zorp galah 330", "male galah 330"),
        ("young zorp galah 330", "young galah 330"),
        ("zorp another one 330", "another one 330"),
        ("zorp galah 330 no 340", "galah 330 no 340"),
        ("zorp pair of galahs", "pair of galahs"),
    ],
)
def test_all_that_was_said_beside_a_strange_word_is_kept(text: str, without: str):
    lexicon = demo_lexicon()
    found = understand(text, lexicon)
    assert found.requests == understand(without, lexicon).requests
    assert (found.doubt, found.words) == (Doubt.UNKNOWN_WORD, ("zorp",))


@pytest.mark.parametrize(
    ("text", "without"),
    [
        ("male galah zorp 330", "male galah"),
        ("galah 330 zorp half dose", "galah half dose"),
    ],
)
def test_a_number_in_doubt_takes_nothing_else_with_it(text: str, without: str):
    lexicon = demo_lexicon()
    found = understand(text, lexicon)
    assert found.requests == understand(without, lexicon).requests
    assert found.doubt in (Doubt.UNKNOWN_WORD, Doubt.UNKNOWN_UNIT)


def test_a_word_near_one_that_makes_sense_is_offered_in_its_place():
    found = understand("nineti five please", demo_lexicon())
    assert found.suggested == ("ninety five please",)
    assert understand("gven", demo_lexicon()).requests == (Plain("given"),)


def test_forty_words_are_the_most_that_are_listened_to():
    assert understand("zorp " * 40, demo_lexicon()).doubt is Doubt.NOT_UNDERSTOOD
    assert understand("zorp " * 41, demo_lexicon()).doubt is Doubt.TOO_LONG


def righted(text: str) -> str:
    lexicon = demo_lexicon()
    words = tokens(text)
    strange = tuple(word for word in words if word not in lexicon.vocabulary)
    return " ".join(put_right(words, strange, lexicon))


@pytest.mark.parametrize(
    ("text", "mended"),
    [
        ("cockateil ninety", "cockatiel ninety"),
        ("a cockateil", "a cockatiel"),
        ("cocka tiel 95", "cockatiel 95"),
        ("port lincon parrot 130", "port lincoln parrot 130"),
        ("bourke parrot 45", "bourkes parrot 45"),
        ("crimson rosela 130", "crimson rosella 130"),
        ("galah 330", "galah 330"),
        ("given", "given"),
        ("zorp 330", "zorp 330"),
    ],
)
def test_a_name_near_just_one_bird_is_put_right(text: str, mended: str):
    assert righted(text) == mended


def suggested(text: str) -> list[tuple[str, ...]]:
    lexicon = demo_lexicon()
    words = tokens(text)
    strange = tuple(word for word in words if word not in lexicon.vocabulary)
    return [one.names for one in suggestions(words, strange, lexicon)]


def test_a_part_of_a_name_leads_to_the_birds_that_bear_it():
    found = next(suggestions(("port", "lincoln", "130"), (), demo_lexicon()))
    assert found.words == ("port", "lincoln")
    assert found.names == ("port lincoln parrot",)
    assert found.options == (("port", "lincoln", "parrot", "130"),)


def test_what_is_no_part_of_any_name_leads_nowhere():
    assert suggested("zorp 130") == []
    assert suggested("ninety five") == []
