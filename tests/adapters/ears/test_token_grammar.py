from __future__ import annotations

import pytest

from assistant.adapters.ears.moonshine_model import ALPHABET, packaged_folder
from assistant.adapters.ears.moonshine_tokens import END, Alphabet
from assistant.adapters.ears.token_grammar import TokenGrammar
from assistant.adapters.ears.word_graph import word_graph
from assistant.language.jsgf import read_grammar
from assistant.language.tree import Figure
from assistant.language.writing import for_writing_ears

SMALL = """#JSGF V1.0;
grammar small;
import <written.figure>;
public <said> = <bird> <number> [ grams ] | say again;
<bird> = cockatiel | bourke's | african grey;
<number> = one | two | ninety [ five ] | two sixty | <written.figure>;
"""


@pytest.fixture(scope="module")
def alphabet() -> Alphabet:
    """The model's own."""
    return Alphabet((packaged_folder() / ALPHABET).read_bytes())


@pytest.fixture(scope="module")
def grammar(alphabet: Alphabet) -> TokenGrammar:
    """A small grammar in the model's pieces."""
    small = read_grammar(SMALL, {"written.figure": Figure()})
    return TokenGrammar(word_graph(for_writing_ears(small)), alphabet)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("Cockatiel 95 grams.", "cockatiel 95 grams"),
        ("cockatiel, ninety-five g", "cockatiel ninety five grams"),
        ("Bourkes, 1,250.", "bourke's 1250"),
        ("African Gray 12:50", "african grey 1250"),
        ("Cockatiel .5 grams", "cockatiel 0.5 grams"),
        ("cockatiel 2 60", "cockatiel two sixty"),
        ("Say again?", "say again"),
    ],
)
def test_what_is_written_is_turned_into_the_grammars_words(
    grammar: TokenGrammar, alphabet: Alphabet, written: str, said: str
):
    assert " ".join(grammar.said((*alphabet.cut(written), END))) == said


@pytest.mark.parametrize(
    "written",
    ["", "Cockatiel", "Galah 95", "Cockatiel 95 grams grams", "cockatiel 0", "cockatiel 12.50"],
)
def test_what_is_not_in_the_grammar_is_nothing(
    grammar: TokenGrammar, alphabet: Alphabet, written: str
):
    assert grammar.said((*alphabet.cut(written), END)) == ()


def test_each_step_leads_on_until_the_end(grammar: TokenGrammar, alphabet: Alphabet):
    position = grammar.start
    for piece in (*alphabet.cut("Cockatiel 95 grams."), END):
        onward = grammar.onward(position)
        assert min(onward.costs) >= 0
        position = dict(zip(onward.pieces, onward.positions, strict=True))[piece]
    assert grammar.onward(position).pieces == ()


def test_rare_words_cost_something_and_birds_nothing(grammar: TokenGrammar, alphabet: Alphabet):
    onward = grammar.onward(grammar.start)
    costs = dict(zip(onward.pieces, onward.costs, strict=True))

    assert costs[alphabet.cut("cockatiel")[0]] == 0


@pytest.mark.parametrize("text", ["Cockatiel 95 grams.", "grey, 1,250", "½ kilo", "Bourke's"])
def test_the_alphabet_puts_together_what_it_cut(alphabet: Alphabet, text: str):
    assert alphabet.text(alphabet.cut(text)) == text


def test_a_word_of_its_own_is_one_piece(alphabet: Alphabet):
    assert [alphabet.piece(one) for one in alphabet.cut("the")] == ["▁the"]


def test_an_alphabet_that_breaks_off_is_refused():
    with pytest.raises(ValueError, match="middle of a piece"):
        Alphabet(b"\x03ab")


def test_what_was_laid_out_is_forgotten_where_it_is_much_and_found_again(
    grammar: TokenGrammar, monkeypatch: pytest.MonkeyPatch
):
    first = grammar.onward(grammar.start)
    grammar.forget_much()
    assert grammar.onward(grammar.start) is first
    monkeypatch.setattr("assistant.adapters.ears.token_grammar.MOST_POSITIONS", 1)
    grammar.forget_much()
    again = grammar.onward(grammar.start)
    assert again is not first
    assert again.pieces == first.pieces
