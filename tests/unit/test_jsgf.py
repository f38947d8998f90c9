"""The notation of the grammar: what is read, what is written, and errors that name the line."""

from __future__ import annotations

import pytest

from assistant.adapters.home.grammar_file import grammar_text
from assistant.language.jsgf import GrammarProblem, read_grammar, references, write_grammar
from assistant.language.matching import Matcher
from assistant.language.tree import (
    EMPTY,
    NEVER,
    Choice,
    Figure,
    Grammar,
    Node,
    Repeat,
    Rule,
    Sequence,
    Tagged,
    Word,
    phrase,
)
from tests.fixture_tables import FIXTURES, rows
from tests.talk_scene import demo_lexicon

GRAMMARS = FIXTURES / "grammars"
BROKEN = rows("grammars/broken.csv")
HEAD = "#JSGF V1.0;\ngrammar test;\n"


def grammar(body: str, **slots: Word) -> Grammar:
    return read_grammar(HEAD + body, slots)


def accepts(rules: Grammar, text: str) -> bool:
    return bool(Matcher(rules).readings(tuple(text.split())))


@pytest.mark.parametrize(
    ("body", "yes", "no"),
    [
        ("public <a> = red fox;", ["red fox"], ["red", "fox", "red fox fox"]),
        ("public <a> = red | fox;", ["red", "fox"], ["red fox", ""]),
        ("public <a> = red [ fox ];", ["red", "red fox"], ["fox", "red fox fox"]),
        ("public <a> = ( red | grey ) fox;", ["red fox", "grey fox"], ["red grey fox"]),
        ("public <a> = red*;", ["", "red", "red red red"], ["fox"]),
        ("public <a> = red+ fox;", ["red fox", "red red fox"], ["fox"]),
        ("public <a> = /0.5/ red | /2e1/ fox;", ["red", "fox"], ["0.5"]),
        ("public <a> = <b> <b>; <b> = red | fox;", ["red fox", "fox fox"], ["red"]),
        ("public <a> = red <NULL> fox;", ["red fox"], ["red"]),
        ("public <a> = red | <VOID> fox;", ["red"], ["fox"]),
        ('public <a> = "Red" fox;', ["red fox"], ["fox"]),
        ("public <a> = red {colour} fox {animal};", ["red fox"], ["fox"]),
        ("public <a> = red // a remark\n | /* another\none */ fox;", ["red", "fox"], ["remark"]),
        ("public <a> = don’t;", ["don't", "dont"], ["do"]),
    ],
)
def test_a_notation_accepts_what_it_says(body: str, yes: list[str], no: list[str]):
    rules = grammar(body)
    assert [text for text in yes if not accepts(rules, text)] == []
    assert [text for text in no if accepts(rules, text)] == []


def test_an_alternative_binds_looser_than_a_sequence():
    assert accepts(grammar("public <a> = red fox | grey owl;"), "grey owl")
    assert not accepts(grammar("public <a> = red fox | grey owl;"), "red fox owl")


def test_a_tag_marks_the_words_before_it():
    marks = Matcher(grammar("public <a> = red ( fox | owl ) {who};")).readings(("red", "owl"))
    assert [[(mark.tag, mark.start, mark.end) for mark in one] for one in marks] == [
        [("who", 1, 2)]
    ]


def test_an_import_is_filled_by_the_caller():
    assert accepts(
        grammar("import <kept.x>; public <a> = <kept.x>;", **{"kept.x": Word("wren")}), "wren"
    )


@pytest.mark.parametrize("row", BROKEN, ids=lambda row: row["file"])
def test_a_broken_grammar_is_refused_with_its_place(row: dict[str, str]):
    text = (GRAMMARS / row["file"]).read_text(encoding="utf-8")
    with pytest.raises(GrammarProblem) as problem:
        read_grammar(text, {})
    assert row["message"] in str(problem.value)


def test_every_broken_grammar_is_listed():
    assert {row["file"] for row in BROKEN} == {path.name for path in GRAMMARS.glob("*.jsgf")}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("#JSGF V1.0;", "line 1: expected a word, found 'the end'"),
        ("#JSGF V1.0\n en;\ngrammar test;\n\npublic = red;", "line 5: expected a rule, found '='"),
        (HEAD + "public <a> = red {one\ntwo};\n~", "line 5: cannot read '~'"),
        (HEAD + "public <a> = §abcdefghijklmno;", "line 3: cannot read '§abcdefghijk'"),
        (HEAD + "public <a> = /0.5/;", "line 3: an alternative is empty; write <NULL>"),
        (HEAD + "public <a> =\nred", "line 4: expected ';', found 'the end'"),
        (HEAD + "public <a> = /0.5/ | red;", "line 3: an alternative is empty; write <NULL>"),
        (HEAD + "public <a> = red;\npublic\n<", "line 5: cannot read '<'"),
        (HEAD + "public <a> = ( red\n;", "line 4: expected ')', found ';'"),
        (HEAD + "public <a> = <b>; <b> = <c>;", "no rule is called <c>, which <b> refers to"),
        (
            HEAD + "public <a> = <b>; <b> = <c>; <c> = <b>;",
            "<b> refers to itself by way of a → b → c",
        ),
    ],
)
def test_an_error_says_where_and_what(text: str, message: str):
    with pytest.raises(GrammarProblem) as problem:
        read_grammar(text, {})
    assert str(problem.value) == message


def test_one_item_needs_nothing_around_it():
    assert grammar("public <a> = red;").rules == {"a": Word("red")}
    assert grammar("public <a> = DON’T;").rules == {"a": Word("don't")}


def test_each_notation_is_written_as_it_is_read():
    rules: dict[str, Node] = {
        "a.b": Sequence((Word("red"), Repeat(Rule("c"), 0, 1), Repeat(Word("owl"), 1, None))),
        "c": Choice((Word("fox"), Repeat(Word("wren"), 0, None), EMPTY)),
    }
    text = write_grammar(Grammar("a.b", rules), "small")
    assert text == (
        "#JSGF V1.0;\ngrammar small;\n\n"
        "public <a_b> = red [ <c> ] ( owl )+;\n"
        "<c> = ( fox | ( wren )* | <NULL> );\n"
    )
    again = read_grammar(text, {})
    assert (again.root, again.rules) == ("a_b", {"a_b": rules["a.b"], "c": rules["c"]})


def test_what_is_written_reads_back_to_the_same_sentences():
    rules = grammar("public <a> = red [ <b> ] {x} | ( fox owl )+; <b> = wren | <NULL>;")
    again = read_grammar(write_grammar(rules, "test"), {})
    for text in ("red", "red wren", "fox owl", "fox owl fox owl", "fox", "wren"):
        assert accepts(rules, text) == accepts(again, text), text


def test_a_rule_that_can_never_match_is_written_as_void():
    assert "<VOID>" in write_grammar(Grammar("a", {"a": Choice((NEVER, Word("wren")))}), "test")
    assert "<VOID>" in write_grammar(Grammar("a", {"a": Figure()}), "test")


def test_no_tag_is_written_for_an_engine():
    assert "{" not in write_grammar(Grammar("a", {"a": Tagged(phrase("red fox"), "x")}), "test")


def test_the_real_grammar_is_read_and_has_one_public_rule():
    text = grammar_text("dosewren.jsgf")
    assert text.count("\npublic ") == 1
    assert demo_lexicon().grammar.root == "utterance"


def test_every_rule_of_the_real_grammar_is_used():
    rules = demo_lexicon().grammar.rules
    used = {name for node in rules.values() for name in references(node)} | {"utterance"}
    assert sorted(set(rules) - used) == []
