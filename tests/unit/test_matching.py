"""Matching: every reading of the whole utterance, and nothing that is only half of one."""

from __future__ import annotations

import pytest

from assistant.language import parts
from assistant.language.jsgf import read_grammar
from assistant.language.matching import Matcher
from assistant.language.parts import Alternatives, Phrase
from assistant.language.shaping import cut, for_ears, sample, words_of
from assistant.language.tree import NEVER, Figure, Grammar, Mark, Word

HEAD = "#JSGF V1.0; grammar test; import <figure>;"


def grammar(body: str) -> Grammar:
    return read_grammar(HEAD + body, {"figure": Figure()})


def readings(body: str, text: str) -> list[list[tuple[str, int, int]]]:
    found = Matcher(grammar(body)).readings(tuple(text.split()))
    return sorted([(mark.tag, mark.start, mark.end) for mark in marks] for marks in found)


def test_the_whole_utterance_must_fit():
    assert readings("public <a> = red fox;", "red fox") == [[]]
    assert readings("public <a> = red fox;", "red fox runs") == []
    assert readings("public <a> = red fox;", "") == []


def test_words_that_fit_in_two_ways_give_both_readings():
    body = "public <a> = <b> {x} <b> {y}; <b> = red | red red;"
    assert readings(body, "red red red") == [
        [("x", 0, 1), ("y", 1, 3)],
        [("x", 0, 2), ("y", 2, 3)],
    ]


def test_a_mark_over_nothing_stands_where_it_was():
    assert readings("public <a> = red ( <NULL> {x} | fox {y} );", "red") == [[("x", 1, 1)]]


def test_who_may_say_the_words_is_no_part_of_a_reading():
    assert readings("public <a> = red | red {typed};", "red") == [[]]


def test_only_a_figure_fits_a_figure():
    for text in ("95", "0.4", ".4", "1,200"):
        assert readings("public <a> = <figure> {n};", text) == [[("n", 0, 1)]], text
    for text in ("-95", "95 g", "4.", "٩٥", "1e9", "nan"):
        assert readings("public <a> = <figure> {n};", text) == [], text


def test_apostrophes_do_not_matter():
    assert readings("public <a> = bourke's | dont;", "bourkes") == [[]]
    assert readings("public <a> = bourke's | dont;", "don't") == [[]]


def test_repeating_nothing_comes_to_an_end():
    assert readings("public <a> = ( [ red ] )* fox;", "red red fox") == [[]]


def test_readings_are_bounded(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(parts, "READINGS_LIMIT", 5)
    body = "public <a> = ( red {x} | red {y} )+;"
    assert 2 <= len(readings(body, " ".join(["red"] * 12))) <= 5


def test_what_only_a_keyboard_may_say_is_cut_for_ears():
    heard = for_ears(
        grammar("public <a> = red | fox {typed} | <figure> | ( owl [ wren {typed} ] );")
    )
    assert words_of(heard) == {"red", "owl"}


def test_a_word_that_an_engine_cannot_hear_takes_its_phrase_along():
    heard = for_ears(grammar("public <a> = red <b> | grey owl; <b> = fox;"), frozenset({"fox"}))
    assert words_of(heard) == {"grey", "owl"}


def test_cutting_everything_leaves_a_grammar_that_never_matches():
    nothing = cut(grammar("public <a> = red;"), lambda node: not isinstance(node, Word))
    assert nothing.rules[nothing.root] == NEVER
    assert Matcher(nothing).readings(("red",)) == frozenset()


def test_a_choice_tries_only_what_begins_with_the_word():
    rules = grammar("public <a> = red fox | owl fox | <b> | [ red ] owl; <b> = owl {x} wren;")
    choice = Matcher(rules).root
    assert isinstance(choice, Alternatives)
    assert choice.phrases["owl"] == [("owl", "fox")]
    assert [part.begins for part in choice.parts["owl"]] == [{"owl"}, {"red", "owl"}]
    assert "wren" not in choice.begins


def test_neighbouring_words_are_compared_at_once():
    part = Matcher(grammar("public <a> = red <b> fox; <b> = owl wren;")).root
    assert isinstance(part, Phrase)
    assert part.words == ("red", "owl", "wren", "fox")


def test_a_figure_that_is_a_word_too_is_both():
    body = "public <a> = ring 12 {x} | ring <figure> {n};"
    assert readings(body, "ring 12") == [[("n", 1, 2)], [("x", 1, 2)]]
    assert readings(body, "ring 13") == [[("n", 1, 2)]]


def test_a_sample_fits_its_grammar_with_its_own_marks():
    body = "public <a> = ( red {x} | <figure> {n} )+ [ fox {y} ];"
    rules = grammar(body)
    choices = iter([1, 0, 1, 41, 1, 0] * 20)
    words, marks = sample(rules, lambda count: next(choices) % count)
    assert tuple(marks) in Matcher(rules).readings(words)
    assert all(isinstance(mark, Mark) for mark in marks)
