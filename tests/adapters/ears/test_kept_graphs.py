from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.ears import kept_graphs
from assistant.adapters.ears.kept_graphs import MOST_KEPT, KeptGraphs
from assistant.adapters.ears.word_graph import WordGraph, word_graph
from assistant.language.jsgf import read_grammar
from assistant.language.tree import Grammar


def grammar_of(rules: str) -> Grammar:
    return read_grammar(f"#JSGF V1.0; grammar g; public <s> = {rules}", {})


BIRDS = grammar_of("(cockatiel | budgie) (twenty | thirty) [one | two] grams;")


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[Grammar]:
    """Every grammar of which a graph was really made."""
    grammars: list[Grammar] = []

    def noted(grammar: Grammar) -> WordGraph:
        grammars.append(grammar)
        return word_graph(grammar)

    monkeypatch.setattr(kept_graphs, "word_graph", noted)
    return grammars


def files_of(folder: Path) -> list[Path]:
    return sorted(folder.iterdir())


def test_a_kept_graph_is_the_one_that_was_made(tmp_path: Path, made: list[Grammar]):
    graphs = [KeptGraphs(tmp_path / "new" / "cache").graph(BIRDS) for _ in range(3)]
    assert graphs == [word_graph(BIRDS)] * 3
    assert made == [BIRDS]


@pytest.mark.parametrize(
    "other", ["(cockatiel | galah) (twenty | thirty) [one | two] grams;", "<t> | a; <t> = b;"]
)
def test_one_more_name_makes_another_graph(tmp_path: Path, made: list[Grammar], other: str):
    kept = KeptGraphs(tmp_path)
    assert kept.graph(BIRDS) == word_graph(BIRDS)
    assert kept.graph(grammar_of(other)) == word_graph(grammar_of(other))
    assert made == [BIRDS, grammar_of(other)]


def test_a_graph_of_another_version_is_not_used(
    tmp_path: Path, made: list[Grammar], monkeypatch: pytest.MonkeyPatch
):
    KeptGraphs(tmp_path).graph(BIRDS)
    monkeypatch.setattr(kept_graphs, "__version__", "999")
    KeptGraphs(tmp_path).graph(BIRDS)
    assert len(made) == 2


def test_a_graph_damaged_anywhere_is_made_again(tmp_path: Path, made: list[Grammar]):
    kept = KeptGraphs(tmp_path)
    kept.graph(BIRDS)
    (path,) = files_of(tmp_path)
    whole = path.read_bytes()
    damaged = [b"", b"\n", whole[:-1], whole.replace(b"budgie", b"bodgie"), b"\xff\x00" * 999]
    damaged += [whole[:at] + b"#" + whole[at + 1 :] for at in range(0, len(whole), 40)]
    for content in damaged:
        path.write_bytes(content)
        assert kept.graph(BIRDS) == word_graph(BIRDS)
        assert path.read_bytes() == whole, "the damaged file is replaced"
    assert len(made) == 1 + len(damaged)


def test_a_graph_under_the_name_of_another_is_not_used(tmp_path: Path):
    kept, other = KeptGraphs(tmp_path), grammar_of("a;")
    kept.graph(BIRDS)
    (path,) = files_of(tmp_path)
    kept.graph(other)
    (wrong,) = set(files_of(tmp_path)) - {path}
    path.replace(wrong)
    assert kept.graph(other) == word_graph(other)


def test_where_nothing_can_be_written_a_graph_is_made_each_time(
    tmp_path: Path, made: list[Grammar]
):
    in_the_way = tmp_path / "cache"
    in_the_way.write_text("a file where the folder should be")
    kept = KeptGraphs(in_the_way)
    assert kept.graph(BIRDS) == kept.graph(BIRDS) == word_graph(BIRDS)
    assert len(made) == 2
    assert files_of(tmp_path) == [in_the_way]


def test_the_oldest_graphs_are_thrown_away(tmp_path: Path, made: list[Grammar]):
    kept = KeptGraphs(tmp_path)
    grammars = [grammar_of(f"word{letter};") for letter in "abcdefgh"]
    for grammar in grammars:
        kept.graph(grammar)
    assert len(files_of(tmp_path)) == MOST_KEPT
    kept.graph(grammars[-1])
    assert made == grammars
