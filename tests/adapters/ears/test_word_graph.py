from __future__ import annotations

import itertools
import random

import pytest

from assistant.adapters.ears.word_graph import WordGraph, word_graph
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.jsgf import read_grammar
from assistant.language.shaping import sample


def graph_of(rules: str) -> WordGraph:
    return word_graph(read_grammar(f"#JSGF V1.0; grammar g; public <s> = {rules}", {}))


def sentences(graph: WordGraph, longest: int) -> set[str]:
    words = sorted({word for row in graph.steps for word in row})
    tried = itertools.chain.from_iterable(
        itertools.product(words, repeat=length) for length in range(longest + 1)
    )
    return {" ".join(one) for one in tried if graph.accepts(one)}


@pytest.mark.parametrize(
    ("rules", "expected"),
    [
        ("a b;", {"a b"}),
        ("a | b c;", {"a", "b c"}),
        ("a [b] c;", {"a c", "a b c"}),
        ("a* b;", {"b", "a b", "a a b"}),
        ("a+ b;", {"a b", "a a b"}),
        ("(a | <NULL>) {t} b;", {"b", "a b"}),
        ("a <VOID> | b;", {"b"}),
        ("<n> [and <n>]; <n> = one | two;",
         {"one", "two", "one and one", "one and two", "two and one", "two and two"}),
    ],
)  # fmt: skip
def test_exactly_the_sentences_of_the_grammar_are_accepted(rules: str, expected: set[str]):
    assert sentences(graph_of(rules), 3) == expected


def test_states_that_allow_the_same_are_one():
    # start, after a bird, after a tens, the end: however many birds and numbers there are
    graph = graph_of("<b> <n>; <b> = a | b | c d | e d; <n> = twenty [one | two] | ten | five;")

    assert len(graph.steps) == 5


def test_every_sampled_sentence_of_the_whole_grammar_is_accepted(whole_grammar: EngineGrammar):
    grammar = read_grammar(whole_grammar.jsgf, {})
    graph = word_graph(grammar)
    choose = random.Random(3).randrange  # noqa: S311 - sampling, no secret

    for _ in range(2000):
        words, _marks = sample(grammar, choose)
        assert graph.accepts(words)
        assert not graph.accepts((*words, "gibberish"))
