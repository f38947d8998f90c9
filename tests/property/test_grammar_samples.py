"""Sentences sampled from the grammar parse back to their request; ears get the same tree."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from functools import cache

import pytest

from assistant.conversation.turn import Status
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.jsgf import read_grammar
from assistant.language.matching import Matcher
from assistant.language.numerals import NumberProblem
from assistant.language.reading import NoReading, read_marks
from assistant.language.requests import DoseWanted, Request
from assistant.language.shaping import Choose, for_ears, sample, words_of
from assistant.language.tokens import LONGEST_CHARACTERS, LONGEST_WORDS
from assistant.language.tree import Grammar
from assistant.language.understanding import understand
from tests.talk_scene import Talk, demo_lexicon, setting

SENTENCES = 10_000
SEEDS = range(10)
LEXICON = demo_lexicon()


@cache
def spoken_grammar() -> Grammar:
    return for_ears(LEXICON.grammar)


def chooser(seed: int) -> Choose:
    """The same choices each time."""
    return random.Random(seed).randrange  # noqa: S311 - a sample is no secret


def sampled(grammar: Grammar, seed: int) -> Iterator[tuple[str, Request]]:
    """A tenth of all sentences that make sense and fit in a breath, each with its request.

    What makes none, such as a kilo and twelve hundred grams, has no request to parse back to.
    """
    choose = chooser(seed)
    wanted = SENTENCES // len(SEEDS)
    while wanted:
        words, marks = sample(grammar, choose)
        text = " ".join(words)
        if len(words) > LONGEST_WORDS or len(text) > LONGEST_CHARACTERS:
            continue
        try:
            request = read_marks(marks, words, LEXICON)
        except (NumberProblem, NoReading):
            continue
        wanted -= 1
        yield text, request


@pytest.mark.parametrize("seed", SEEDS)
def test_what_an_ear_may_hear_parses_back_to_its_request_alone(seed: int):
    for text, request in sampled(spoken_grammar(), seed):
        found = understand(text, LEXICON)
        assert (found.doubt, found.requests) == (None, (request,)), text


def gives_way(request: Request, found: tuple[Request, ...]) -> bool:
    """Whether it has more weights than what was found: "a kilo hundred" is one rather than two."""
    return isinstance(request, DoseWanted) and all(
        isinstance(one, DoseWanted) and len(one.weights) < len(request.weights) for one in found
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_what_a_keyboard_may_say_parses_back_or_is_asked_about(seed: int):
    once = setting(one_shot=True)
    several = 0
    for text, request in sampled(LEXICON.grammar, seed):
        found = understand(text, LEXICON)
        assert found.doubt is None, text
        assert request in found.requests or gives_way(request, found.requests), text
        if len(found.requests) > 1:
            several += 1
            assert Talk(once).say(text).status is Status.ASKED, text
    assert several < SENTENCES // len(SEEDS) // 10, "the grammar has grown ambiguous"


@pytest.mark.parametrize("text", ["cockatiel 95", "cockatiel 0.4 kg", "95"])
def test_no_ear_is_given_figures(text: str):
    assert Matcher(LEXICON.grammar).readings(tuple(text.split()))
    assert not Matcher(spoken_grammar()).readings(tuple(text.split()))


@cache
def engine_grammar() -> EngineGrammar:
    return LEXICON.engine_grammar(frozenset({"quarrion"}), chooser(1))


def test_the_jsgf_for_an_engine_accepts_what_the_tree_accepts():
    written = Matcher(read_grammar(engine_grammar().jsgf, {}))
    for text, _ in list(sampled(spoken_grammar(), 99))[:300]:
        if "quarrion" not in text:
            assert written.readings(tuple(text.split())), text


def test_the_phrase_list_is_sampled_from_the_same_tree():
    tree = Matcher(for_ears(LEXICON.grammar, frozenset({"quarrion"})))
    for text in engine_grammar().phrases[::20]:
        assert tree.readings(tuple(text.split())), text


def test_jsgf_words_and_phrases_hold_the_same_vocabulary():
    grammar = engine_grammar()
    body = grammar.jsgf.split("\n", 2)[2]
    written = set(re.findall(r"[\w']+", re.sub(r"<[\w.]+>|\bpublic\b", " ", body)))
    assert written == grammar.words == words_of(read_grammar(grammar.jsgf, {}))
    assert "quarrion" not in grammar.words
    assert {word for text in grammar.phrases for word in text.split()} <= grammar.words


def test_an_engine_grammar_is_the_same_for_the_same_choices():
    assert LEXICON.engine_grammar(frozenset({"quarrion"}), chooser(1)) == (engine_grammar())
