from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import pocketsphinx
import pytest

from assistant.adapters.ears.pocketsphinx import PocketsphinxEars
from assistant.adapters.ears.pronunciations import PHONES, parse_pronunciations, read_pronunciations
from assistant.errors import DataProblem
from assistant.language.engine_grammar import EngineGrammar


def test_every_word_of_the_species_and_of_the_grammar_can_be_heard(
    whole_grammar: EngineGrammar, pronunciations: Mapping[str, Sequence[str]]
):
    assert len(whole_grammar.words) > 250
    assert {"bourke's", "lorikeet", "caique", "nought"} <= whole_grammar.words

    assert PocketsphinxEars.unknown_words(whole_grammar.words, pronunciations) == frozenset()


def test_words_of_the_work_that_the_engine_lacks_are_there(
    pronunciations: Mapping[str, Sequence[str]],
):
    assert {"budgie", "millilitres", "nought", "gramme", "grammes", "neophema"} <= set(
        pronunciations
    )


def test_the_phones_are_those_that_the_engines_model_knows():
    model = Path(pocketsphinx.get_model_path("en-us/en-us/mdef"))
    names = pocketsphinx.get_model_path("en-us/cmudict-en-us.dict")
    used = {
        phone
        for entry in Path(names).read_text("utf-8").splitlines()
        for phone in entry.split()[1:]
    }

    assert model.is_file()
    assert used == PHONES


def test_no_pronunciation_repeats_one_of_the_engines_own(
    pronunciations: Mapping[str, Sequence[str]],
):
    engine = pocketsphinx.Decoder(lm=None, loglevel="FATAL")

    for word, spoken in pronunciations.items():
        assert engine.lookup_word(word) not in spoken


def test_several_pronunciations_keep_their_order():
    text = ";;; a comment\n\ncaique  K AY IY K\ncaique(2)  K AY K\nbourke's  B ER K S\n"

    assert parse_pronunciations(text, "x") == {
        "caique": ("K AY IY K", "K AY K"),
        "bourke's": ("B ER K S",),
    }


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("galah", "is not a word and its phones"),
        ("Galah  G AH L AA", "is not a word and its phones"),
        ("galah  G AH L AA1", "“AA1” is not one of the phones"),
        ("galah(3)  G AH L AA", r"the next pronunciation of “galah” is \(1\)"),
        ("budgie  B AH JH IY", r"the next pronunciation of “budgie” is \(2\)"),
        ("budgie(2)  B AH JH IY", "already pronounced"),
    ],
)
def test_a_line_that_is_wrong_is_named(line: str, problem: str):
    with pytest.raises(DataProblem, match=f"words.dict, line 2: .*{problem}"):
        parse_pronunciations(f"budgie  B AH JH IY\n{line}\n", "words.dict")


def test_a_file_that_cannot_be_read_is_a_problem_of_the_keepers(tmp_path: Path):
    with pytest.raises(DataProblem, match="cannot be read"):
        read_pronunciations(tmp_path / "missing.dict")
