"""The keeper's own words put into a grammar: built anew here, from a small one."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.dosing.needle import Needle
from assistant.dosing.species import Aviary, Bird, Species
from assistant.language.attention import attention_problems
from assistant.language.lexicon import RING_WORDS, Lexicon, build, needle_names, speaks_of_ring
from assistant.language.shaping import for_ears, words_of
from tests.dosing_scene import medicine, species

GRAMMAR = """#JSGF V1.0;
grammar small;
import <written.figure>;
import <kept.bird>;
import <kept.medicine>;
import <kept.needle>;
import <kept.cage>;
import <kept.attention>;
public <said> = [ <kept.attention> ] ( [ <colour> ] [ the ] <kept.bird> {bird}
              | use <kept.medicine> {medicine} | <kept.needle> needle {needle}
              | cage <kept.cage> {cage} | <written.figure> {n} );
<colour> = sky blue | red;
"""


def kind(name: str, *aliases: str) -> Species:
    return replace(species(), name=name, aliases=aliases)


FINCH = kind("Gold finch", "goldie")
CONURE = kind("Blue conure")
AVIARY = Aviary((FINCH, CONURE))


def lexicon(
    *birds: Bird, kinds: tuple[Species, ...] = (FINCH, CONURE), needles: tuple[Needle, ...] = ()
) -> Lexicon:
    return build(GRAMMAR, Aviary(kinds, birds), [medicine(spoken=["marigold"])], needles=needles)


def takes(lexicon: Lexicon, text: str) -> bool:
    return bool(lexicon.matcher.readings(tuple(text.split())))


def can_be_heard(lexicon: Lexicon) -> frozenset[str]:
    return words_of(for_ears(lexicon.grammar))


def ringed(ring: str) -> Bird:
    return Bird("Pip", "Gold finch", ring=ring)


@pytest.mark.parametrize(
    ("one", "many"),
    [
        ("Wren", "wrens"),
        ("Grass", "grasses"),
        ("Fox", "foxes"),
        ("Finch", "finches"),
        ("Thrush", "thrushes"),
        ("Canary", "canaries"),
        ("Jay", "jays"),
        ("Curly", "curlies"),
        ("Kea", "keas"),
        ("Duck", "ducks"),
        ("Turkey", "turkeys"),
    ],
)
def test_a_species_goes_by_its_plural_too(one: str, many: str):
    aviary = lexicon(kinds=(kind(one),))
    assert (takes(aviary, one.lower()), takes(aviary, many)) == (True, True)
    assert aviary.birds(many) == aviary.birds(one) != ()
    plain = {f"{one.lower()}s", f"{one.lower()}es", f"{one.lower()[:-1]}ies"} - {many}
    assert [wrong for wrong in plain if takes(aviary, wrong)] == []


def test_a_name_can_be_heard_and_its_plural_only_typed():
    heard = can_be_heard(lexicon())
    assert {"gold", "finch", "goldie", "conure"} <= heard
    assert heard.isdisjoint({"finches", "goldies", "conures"})


def test_a_name_that_is_a_plural_already_stays_what_it_is():
    both = lexicon(kinds=(kind("Wren"), kind("Wrens")))
    assert [one.name for one in both.birds("wrens")] == ["Wrens"]


def test_a_name_with_a_figure_in_it_can_only_be_typed():
    two = lexicon(Bird("Pip 2", "Gold finch"), Bird("Mango", "Gold finch"))
    assert takes(two, "pip 2")
    assert {"mango"} == can_be_heard(two) & {"pip", "2", "mango"}


@pytest.mark.parametrize("word", RING_WORDS)
@pytest.mark.parametrize("said", ["471", "four seven one", "four hundred and seventy one"])
def test_a_ring_is_typed_in_several_ways(word: str, said: str):
    pip = ringed("471")
    found = lexicon(pip)
    for text in (f"{word} {said}", f"{word} number {said}"):
        assert (takes(found, text), found.birds(text)) == (True, (pip,))


def test_the_figures_of_a_ring_alone_name_no_bird():
    found = lexicon(ringed("471"))
    assert found.birds("471") == found.birds("four seven one") == ()
    assert not takes(found, "four seven one")


@pytest.mark.parametrize(
    "said", ["ab 102", "ab one zero two", "ab one hundred and two", "ring ab 102"]
)
def test_a_ring_that_begins_with_letters_is_named_by_them(said: str):
    pip = ringed("AB-102")
    found = lexicon(pip)
    assert (takes(found, said), found.birds(said)) == (True, (pip,))


@pytest.mark.parametrize("said", ["ring ab one zero two", "ring ab one oh two"])
def test_an_ear_hears_a_ring_digit_by_digit(said: str):
    found = lexicon(ringed("AB-102"))
    heard = replace(found, grammar=for_ears(found.grammar))
    assert takes(heard, said)
    assert not takes(heard, "ring ab 102")
    assert not takes(heard, "ab one zero two")
    assert not takes(heard, "ring ab one two")
    assert not takes(heard, "ring number ab one zero two")
    assert not takes(heard, "ring ab one hundred and two")


def test_a_ring_without_letters_or_figures_is_no_hindrance():
    assert takes(lexicon(ringed("--")), "gold finch")


def test_the_ring_is_spoken_of_in_any_of_its_words():
    assert [word for word in ("ring", "band", "bird") if speaks_of_ring(["the", word])] == [
        "ring",
        "band",
    ]


def test_the_words_of_names_are_those_that_stand_nowhere_else():
    found = lexicon(Bird("Red", "Gold finch"), Bird("The Duke", "Gold finch"), ringed("7"))
    assert found.name_words == {"gold", "finch", "goldie", "blue", "conure", "red", "duke", "pip"}


def test_the_words_of_a_colour_are_those_of_its_rule():
    assert lexicon().colours == {"sky", "blue", "red"}


def test_a_word_leads_to_the_names_that_hold_it():
    found = lexicon(kinds=(FINCH, kind("Gold wren"))).names_with
    assert set(found["gold"]) == {"gold finch", "gold wren"}
    assert found["wren"] == {"gold wren": {"Gold wren"}}


def test_a_name_is_found_by_its_letters_alone():
    assert lexicon().unspaced["goldfinch"] == "gold finch"


def test_a_cage_with_a_number_in_its_name_is_left_to_the_numbers():
    found = lexicon(*(Bird(f"Of {cage}", "Gold finch", cage=cage) for cage in ("Shed", "Shed 2")))
    assert takes(found, "cage shed")
    assert not takes(found, "cage shed 2")


def test_a_needle_is_called_by_its_own_name_or_its_gauge():
    one, other = Needle(16, Decimal(50), called="short needle"), Needle(14, Decimal(75))
    assert needle_names((one, other)) == {
        "short": one,
        "sixteen gauge": one,
        "16 gauge": one,
        "fourteen gauge": other,
        "14 gauge": other,
    }
    assert needle_names((one,)) == {}
    found = lexicon(needles=(one, other))
    assert (takes(found, "short needle"), found.needle("short")) == (True, one)


def test_needles_of_one_gauge_are_told_by_their_length():
    short, long = Needle(14, Decimal(50)), Needle(14, Decimal("75.5"))
    assert needle_names((short, long)) == {
        "fourteen gauge fifty": short,
        "14 gauge 50": short,
        "fourteen gauge seventy five point five": long,
        "14 gauge 75.5": long,
    }


def test_only_an_engine_that_takes_a_list_is_given_one():
    assert lexicon().engine_grammar(frozenset()).phrases == ()
    listed = lexicon().engine_grammar(frozenset(), choose=lambda ways: ways - 1).phrases
    assert len(listed) > 0
    assert all(takes(lexicon(), text) for text in listed)


def test_a_medicine_goes_by_each_of_its_names():
    found = lexicon()
    assert takes(found, "use marigold")
    assert takes(found, "use marigold demo")
    assert found.medicine("Marigold Demo") == found.medicine("marigold") is not None


def test_an_attention_word_in_use_is_refused_with_the_first_word_that_is():
    problems = attention_problems("dear gold finch", lexicon(), "kit.toml")
    assert [(one.place, one.what) for one in problems] == [
        ("kit.toml, attention", "“gold” already means something here")
    ]
    assert "such as marlow" in problems[0].remedy
    assert attention_problems("marlow", lexicon(), "kit.toml") == []
    assert attention_problems(None, lexicon(), "kit.toml") == []
