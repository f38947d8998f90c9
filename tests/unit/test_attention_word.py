"""The attention word: in the grammar, taken off before the rest is understood."""

from __future__ import annotations

import pytest

from assistant.adapters.home.grammar_file import grammar_text
from assistant.language.attention import taken_words, without_attention
from assistant.language.lexicon import Lexicon, build
from assistant.language.shaping import for_ears, words_of
from assistant.language.understanding import understand
from tests.talk_scene import demo_holding, demo_lexicon


@pytest.fixture(scope="module")
def marlow() -> Lexicon:
    """The demo's words, with an attention word of two words."""
    holding = demo_holding()
    text = grammar_text("dosewren.jsgf")
    return build(text, holding.aviary, holding.medicines, "dear marlow")


@pytest.mark.parametrize(
    ("text", "rest"),
    [
        ("marlow cockatiel 95", "cockatiel 95"),
        ("Marlow, cockatiel 95!", "cockatiel 95!"),
        ("cockatiel 95, marlow.", "cockatiel 95"),
        ("marlow given marlow", "given"),
        ("marlow", ""),
        ("marlow -5", "-5"),
    ],
)
def test_it_is_taken_off_at_both_ends(text: str, rest: str):
    assert without_attention(text, "marlow") == (rest, True)


def test_one_of_two_words_is_found_however_far_they_are_apart():
    assert without_attention("Dear  Marlow, given", "dear marlow") == ("given", True)
    assert without_attention("dearmarlow given", "dear marlow") == ("dearmarlow given", False)


@pytest.mark.parametrize(
    "text", ["marlowe given", "tell marlow given please", "", "marlow's given"]
)
def test_what_only_holds_it_is_left_as_it_is(text: str):
    assert without_attention(text, "marlow") == (text, False)


def test_without_a_word_nothing_is_taken_off():
    assert without_attention("marlow given", None) == ("marlow given", False)


def test_the_ears_are_given_it_and_it_changes_no_meaning(marlow: Lexicon):
    assert {"dear", "marlow"} <= words_of(for_ears(marlow.grammar))
    for text in ("cockatiel ninety five", "given", "ninety five grams"):
        plain = understand(text, demo_lexicon())
        for called in (f"dear marlow {text}", f"{text} dear marlow"):
            assert understand(called, marlow).requests == plain.requests


def test_without_one_the_grammar_has_no_place_for_it():
    assert "kept.attention" not in demo_lexicon().grammar.rules


def test_a_word_that_means_something_is_no_attention_word(marlow: Lexicon):
    assert taken_words("dear marlow", marlow) == ()
    lexicon = demo_lexicon()
    assert taken_words("galah", lexicon) == ("galah",)
    assert taken_words("hey marlow", lexicon) == ("hey",)
    assert taken_words("marigold", lexicon) == ("marigold",)
    assert taken_words("marlow", lexicon) == ()
    assert taken_words("dosewren", lexicon) == ()
