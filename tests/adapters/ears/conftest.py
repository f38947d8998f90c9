"""Ears for the tests, each opened once, since that takes a while."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

import pytest

from assistant.adapters.ears.pocketsphinx import PocketsphinxEars, open_pocketsphinx
from assistant.adapters.ears.pronunciations import read_pronunciations
from assistant.adapters.home.grammar_file import grammar_text
from assistant.dosing.species import Aviary, read_species_csv
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.jsgf import read_grammar
from assistant.language.lexicon import build
from assistant.language.shaping import words_of
from tests.ear_scene import ROOT, SMALL_JSGF


@pytest.fixture(scope="session")
def pronunciations() -> Mapping[str, Sequence[str]]:
    return read_pronunciations(ROOT / "grammar" / "pronunciations.dict")


@pytest.fixture(scope="session")
def small_grammar() -> EngineGrammar:
    return EngineGrammar(SMALL_JSGF, words_of(read_grammar(SMALL_JSGF, {})), ())


@pytest.fixture(scope="session")
def ears(
    small_grammar: EngineGrammar, pronunciations: Mapping[str, Sequence[str]]
) -> PocketsphinxEars:
    return open_pocketsphinx(lambda _: small_grammar, pronunciations)


@pytest.fixture(scope="session")
def whole_grammar() -> EngineGrammar:
    """The grammar as it is shipped, with the table's species and no keeper's own names."""
    table = (ROOT / "assistant" / "data" / "species.csv").read_text("utf-8")
    lexicon = build(grammar_text("dosewren.jsgf"), Aviary(read_species_csv(table)), ())
    choose = random.Random(1).randrange  # noqa: S311 - sampling, no secret
    return lexicon.engine_grammar(frozenset(), choose)


@pytest.fixture(scope="session")
def whole_ears(
    whole_grammar: EngineGrammar, pronunciations: Mapping[str, Sequence[str]]
) -> PocketsphinxEars:
    return open_pocketsphinx(lambda _: whole_grammar, pronunciations)
