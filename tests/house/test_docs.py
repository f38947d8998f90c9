"""What README.md and DEVELOPERS.md show is true: commands exist, and marked output is real output.

A fenced block right after the line `<!-- run -->` is run as shown: lines starting with `$ ` are
commands, the lines after each are its output, and `...` stands for anything that changes from run
to run, such as the time of day.  The blocks of one page run in order, in one home.
"""

from __future__ import annotations

import doctest
import re
import shlex
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = ["README.md", "DEVELOPERS.md"]
GROUPS = {"stock"}

FENCED = re.compile(
    r"^(?P<mark><!-- run -->\n)?```\w*\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL
)
INLINE = re.compile(r"`(dosewren(?: [^`\n]*)?)`")
CODE_PATH = re.compile(r"`((?:assistant|grammar|tests|fixtures|\.ci)/[\w./-]*)`")

Run = Callable[..., subprocess.CompletedProcess[str]]


def _page(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def _shown(text: str) -> Iterator[str]:
    for block in FENCED.finditer(text):
        for line in block["body"].splitlines():
            if (bare := line.removeprefix("$ ")).startswith("dosewren"):
                yield bare
    yield from INLINE.findall(text)


def _words(command: str) -> list[str]:
    bare = re.split(r"\s[|>#]", command)[0].replace("…", "")
    return shlex.split(bare)[1:]


def _name(words: list[str]) -> str:
    """The command that the words begin with: one of a group has two words."""
    grouped = words[0] in GROUPS and words[1:] and words[1][0] != "-"
    return " ".join(words[: 2 if grouped else 1])


def _sessions(text: str) -> Iterator[tuple[str, str]]:
    """Each command of the marked blocks with the output shown for it."""
    for block in FENCED.finditer(text):
        if block["mark"]:
            for part in re.split(r"^\$ ", block["body"], flags=re.MULTILINE)[1:]:
                command, _, output = part.partition("\n")
                yield command, output


def _differs(shown: str, real: str) -> bool:
    flags = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE
    return not doctest.OutputChecker().check_output(shown, real, flags)


@pytest.mark.parametrize("page", PAGES)
def test_every_command_shown_is_a_real_one_with_real_options(page: str, dosewren: Run):
    commands = [words for shown in _shown(_page(page)) if (words := _words(shown))]
    names = {_name(words) for words in commands if words[0][0] != "-"}
    helps = {name: dosewren(*name.split(), "--help") for name in names}
    helps["-"] = dosewren("--help")
    assert {name: done.stderr for name, done in helps.items() if done.returncode} == {}
    options = [(words, word) for words in commands for word in words if word.startswith("--")]
    unknown = [
        f"{words[0]} {option}"
        for words, option in options
        if option.split("=")[0]
        not in helps.get(_name(words), helps["-"]).stdout + helps["-"].stdout
    ]
    assert unknown == []


@pytest.mark.parametrize("page", PAGES)
def test_every_marked_output_is_what_the_command_really_says(
    page: str, dosewren: Run, tmp_path: Path
):
    home = tmp_path / "home"
    assert dosewren("setup", "--demo", home=home).returncode == 0
    for command, shown in _sessions(_page(page)):
        typed, _, ours = command.rpartition(" | ")
        said = shlex.split(typed)[1:] if typed else []
        done = dosewren(*shlex.split(ours)[1:], home=home, typed="\n".join(said), folder=ROOT)
        real = done.stdout + done.stderr
        assert not _differs(shown, real), f"$ {command}\nshown:\n{shown}\nreal:\n{real}"


def test_the_readme_shows_real_output():
    assert len(list(_sessions(_page("README.md")))) >= 3


def test_the_readme_names_the_two_commands_and_they_are_there():
    text = _page("README.md")
    for script in (".ci/demo", ".ci/test"):
        assert f"bash {script}\n" in text
        assert (ROOT / script).read_text(encoding="utf-8").startswith("#!/usr/bin/env bash\n")


def test_continuous_integration_runs_the_readmes_test_command():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert script[-1] == "bash .ci/test"


@pytest.mark.parametrize("page", PAGES)
def test_every_path_named_is_there(page: str):
    named = CODE_PATH.findall(_page(page))
    assert [path for path in named if not (ROOT / path).exists()] == []


@pytest.mark.parametrize("page", PAGES)
def test_no_page_still_holds_a_placeholder(page: str):
    assert re.findall(r"<!-- (?:tour|fill)[^>]*-->", _page(page)) == []


@pytest.mark.parametrize(
    ("shown", "real", "differs"),
    [
        ("0.5 mL\n", "0.5 mL\n", False),
        ("at ... 0.5 mL\n", "at 10:32 0.5 mL\n", False),
        ("0.5 mL\n", "0.6 mL\n", True),
        ("0.5 mL\n", "", True),
    ],
)
def test_a_wrong_output_would_be_seen(shown: str, real: str, differs: bool):  # noqa: FBT001 - a table's column
    assert _differs(shown, real) is differs


def test_a_marked_block_is_read_as_commands_with_their_outputs():
    marked = "<!-- run -->\n```console\n$ dosewren a\none\ntwo\n$ dosewren b\n```\n"
    text = marked + "\n```\n$ dosewren c\n```\n"
    assert list(_sessions(text)) == [("dosewren a", "one\ntwo\n"), ("dosewren b", "")]
    assert list(_shown(text)) == ["dosewren a", "dosewren b", "dosewren c"]
